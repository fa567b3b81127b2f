"""Rules, debts and posts of reminders.

rules   what people have set, and the debt that each owes next
debts   what facts owe, and what became of a debt: done, later, withdrawn
posts   messages claimed with a lease: due (what can be said now), advancing (each rule's next),
        begun (left by another); then freezing, settling, failing, all behind a fence (leases)
plans   whose facts changed and are to be looked at again
"""
