"""What Tankwren says no to, and where it sends people instead. No amounts, not even an echo."""

from typing import Final

SENTENCES: Final = {
    "no.off_topic": (
        "I can't help with that. I work out doses and top-ups for towers: "
        "tell me how full the tank is, or see /help."
    ),
    "no.not_yet": (
        "I can't answer that yet; please ask the coach. "
        "I do doses and top-ups: tell me how full the tank is, or see /help."
    ),
    "no.passed_on": (
        "I can't answer that. I've put it on your coach's list; the answer comes to you in private."
    ),
    "no.on_list": "I've put your question on the coach's list.",
    "no.contact": (
        "No, never pour undiluted parts together: solids drop out and the plants lose both. "
        "Keep them separate: each goes into the tank on its own, pump on between. Ask the coach if unsure."
    ),
    "no.bleach_mix": (
        "No. Never let bleach meet an acid, vinegar, ammonia, peroxide or any cleaner: the gas is "
        "toxic. Leave the room and air it if you smell it; then call the poison line. "
        "Ask the coach before you clean."
    ),
    "no.algae": (
        "I give no amounts for algae. Keep light out of the tank and cover it; read the label, and "
        "ask the coach or your local extension service before anything goes in."
    ),
    "no.chemicals": (
        "I give no amounts for that. Plants come out first, nothing is mixed with it; read the "
        "label, and ask the coach or your local extension service before anything goes in."
    ),
    "no.acid": (
        "I give no amounts for acid. Use a ready pH-down only, with gloves and eye protection, "
        "acid into water, never near bleach; ask the coach to show you the jug test."
    ),
    "no.electric": (
        "Don't touch it. Switch it off at the breaker first, keep out of the water, "
        "and let a licensed electrician look at it."
    ),
    "no.eat": (
        "I can't tell whether it is safe to eat. Leave it uneaten and ask your local extension "
        "service or a health professional."
    ),
    "no.medical": "Not mine to judge: call the poison line or a doctor now, for an animal a vet. In the eyes: rinse with plenty of water first.",
    "no.pests": (
        "I give no treatment amounts. Take a clear picture, keep sprays off the tower: they drip "
        "into the shared tank. Then ask the coach or your local extension service."
    ),
    "no.tower_name": "Tower names are 1 to 32 letters, digits, spaces or - '. What shall I call it?",
    "no.tower_taken": "You have a tower called {name} already. What shall I call this one?",
    "no.tower_limit": "{count} towers are as many as I keep for one person. Which one shall go?",
    "no.place": "“{text}” is no place I know. Is it indoor or outdoor?",
    "no.nothing_to_edit": "Nothing to change was given for {tower}. What shall I change?",
    "no.no_home": "I don't know your community yet: use the command once in its room, then here.",
    "no.not_yours": "That button is not yours, or too old. Ask again and press the new one.",
    "no.changed": "{tower} has changed since. Ask again for today's numbers.",
    "no.bug": "Something went wrong here. Look with /tower show what was saved, and tell the coach: code {code}.",
    "no.unavailable": "I can't reach my records just now; nothing was saved. Try again in a minute.",
    "no.tower_gone": "That tower is packed away or not yours any more. Ask again for today's numbers.",
    "no.forgotten": "You had me forget you just now; nothing was written. Start anew with /start.",
    "no.used": "Done already.",
    "no.newer_entry": "Somebody logged this tower just now. Ask again for today's numbers.",
    "no.undone": "That is taken back already, or not yours.",
    "no.setting_closed": "“{text}” is neither of the two: note, or nothing.",
    "no.coach_only": "That is the coach's to set. Ask the coach of this community.",
    "no.coach_in_room": "Use that in a room of your community: it is about that community.",
    "no.last_coach": "A community needs one coach at least: name another first.",
    "no.cannot_post": "I may not post or pin in that room. Ask whoever runs the server to allow it, then press again.",
    "no.cannot_pin": "The post stands there, but I could not pin it: ask whoever runs the server to allow it, or pin it by hand.",
    "no.room": "No room is chosen yet: do step five first.",
    "no.share_in_room": "Share it from a room of your community, where I can see who is who.",
    "no.share_self": "You keep that one already. Who shall keep it with you?",
    "no.share_many": "{name} has many invitations waiting: ask them to answer those first.",
    "no.share_stranger": "I don't see that person in this community. Who shall keep it with you?",
    "no.share_bot": "That is a bot. Who shall keep it with you?",
    "no.join_clash": "You have a tower called {name} yourself: give it another name with /tower edit, then say yes again.",
    "no.invitation_gone": "That invitation is answered, or taken back.",
    "no.tower_taken_other": "Somebody who keeps this tower with you has another called {name}. What else shall it be called?",
    "no.shared_already": "{name} keeps {tower} already.",
    "no.last_keeper": "You are its only keeper. /tower pack-away puts it away and keeps its log.",
    "no.none_packed": "No tower of yours is packed away.",
    "no.none_out": "All your towers are packed away. /tower pack-away back:Yes takes one out.",
    "no.packed_already": "{tower} is packed away already.",
    "no.feed_name": "A feed's name is letters, digits, spaces or - ', up to forty of them. What is it called?",
    "no.feed_limit": "{count} feeds are as many as I keep.",
    "no.note_limit": "{count} notes are as many as I keep.",
    "no.note_long": "That is too long: {about} characters for the question, {text} for the answer. Shorter?",
    "no.note_changed": "That note has been changed since. Ask the question again and correct the new one.",
    "no.note_gone": "That note is not there any more.",
    "no.rule": "“{text}” is no house rule. /policy lists them. Which one?",
    "no.zone": "“{text}” is no time zone I know; near are {near}. Which city is it?",
    "no.setting_units": "“{text}”: units are us, metric or uk. Which one?",
    "no.setting_gallon": "“{text}”: a gallon is us or uk. Which one?",
    "no.setting_meter": "“{text}”: a meter is ec, ppm on a scale (see its booklet), or none. Which one?",
    "no.setting_answers": "“{text}”: answers are private or room. Which one?",
    "no.file_size": "That file is too large: two megabytes at most. Nothing was imported.",
    "no.file_type": "{name}: I read the .json and .csv that /mydata export writes. Nothing was imported.",
    "no.file_json": "That is not the JSON that /mydata export writes. Nothing was imported.",
    "no.file_csv": "That table lacks the columns tower, at and kind. Nothing was imported.",
    "no.file_rows": "{what}: more than {count} rows. Split the file; nothing was imported.",
    "no.file_text": "That file is no text. Nothing was imported.",
    "no.file_gone": "I could not fetch that file. Try again; nothing was imported.",
}
