"""One's own settings and records, towers kept together, the room."""

from typing import Final

SENTENCES: Final = {
    "room.private": "That is between you and me. Shall I show it to you alone?",
    "settings.shown": "Your settings:",
    "settings.saved": "Saved.",
    "settings.units": "Units {units}, gallon {gallon}.",
    "settings.gallon_us": "US (3.8 L)",
    "settings.gallon_uk": "UK (4.5 L)",
    "settings.gallon_unknown": "never asked",
    "settings.zone": "Time zone {zone}, morning at {morning}.",
    "settings.meter": "Meter: {meter}.",
    "settings.scale": "ppm, {scale} scale",
    "settings.meter_unknown": "not said",
    "settings.hand": "Finger {finger}, {jug}.",
    "settings.hand_guess": "Finger {finger} (a guess), {jug}.",
    "settings.jug": "jug {jug}",
    "settings.no_jug": "jug not measured",
    "settings.quiet": "Quiet from {start} to {end}.",
    "settings.no_quiet": "No quiet hours of your own.",
    "settings.drops": "{drops} drops make 1 mL.",
    "settings.private": "Sentences in the room are answered to you alone.",
    "settings.room": "Sentences in the room are answered there, without your readings.",
    "settings.home": "Here in private it is about {name} from now on. Now ask again.",
    "settings.how": "/settings jug:2 gal changes one; leave out what is right.",
    "units.us": "US",
    "units.metric": "metric",
    "units.uk": "UK",
    "units.both": "both",
    # records out and in
    "data.export": "All I keep about you (towers: {towers}, log lines: {entries}, settings). Only you see these files.",
    "data.one_community": "These are for {community}; export in your other communities too.",
    "data.everywhere": "That holds for all {count} communities that you are in.",
    "data.others": "Other people stand in them as “a member”.",
    "data.imported": "Imported. New towers: {towers}, new log lines: {entries}, lines already here: {known}.",
    "data.refused": "Nothing imported. Rows that cannot be read: {count}. The first:",
    "data.bad_row": "{where}: {what}",
    "data.forget_sure": (
        "Forget you: your towers ({towers}), log lines ({entries}), settings, open buttons, all gone for "
        "good. Really?"
    ),
    "data.forget_sure_shared": (
        "Forget you: your own towers ({towers}), settings, open buttons, all gone for good. {shared} "
        "stays with its other keepers; your lines in it become “a member's”. Really?"
    ),
    "data.forgotten": "Done. I keep nothing about you any more.",
    "data.backups": "Back-ups lose you as they expire, within 30 days. Messages I sent you are yours to delete.",
    "data.nothing_kept": "I keep nothing about you.",
    "data.kept": "Nothing deleted.",
    # towers kept together
    "share.done": "{name} is asked to keep {tower} with you: they see it at their next question, and say yes or no.",
    "share.means": "Both see who logged what and when. /tower leave ends it.",
    "share.joined": "You keep {tower} too now: one tank, one log.",
    "share.declined": "Declined: {tower} stays with its keepers.",
    "share.ask": "{host} would keep {tower} together with you. Do you want to?",
    "share.somebody": "Somebody",
    "share.invited": "{host} would keep {tower} together with you.",
    "share.invited_unnamed": "Somebody would keep {tower} together with you.",
    "share.sure": "Leave {tower} to {names}? Your log lines stay in it; only they can let you in again.",
    "share.left": "You no longer keep {tower}.",
    "share.stayed": "You stay.",
    "pack.done": "{tower} is packed away: no dates, no reminders. Its log is kept.",
    "pack.all": "{names}: packed away. Take it out again?",
    "pack.back": "{tower} is out again.",
    "pack.steps": "Drain it, rinse tank and pump with plain water, let it dry, store the pump frost-free.",
    "pack.rinse": "Rinse it, run 24 h with plain water, look at every seam.",
    "pack.unplug": "Unplug before you lift anything, and never lift it full.",
    "tower.shared": "Kept with {names}.",
    "tower.ports": "{levels} levels of {ports} ports.",
    "tower.stage_coming": "Not here yet.",
    "tower.stage_empty": "Here, without plants.",
}
