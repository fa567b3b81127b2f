"""Rules, debts and posts of reminders.

rules   what people have set, and the debt that each owes next
debts   what facts owe, and what became of a debt: done, later, withdrawn
posts   messages: claimed with a lease, frozen, settled behind the fence of their attempt
plans   whose facts changed and are to be looked at again
"""
