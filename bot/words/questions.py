"""What Tankwren asks back: one question each, and the words on its buttons."""

from typing import Final

SENTENCES: Final = {
    "ask.tower": "{towers}. Which one?",
    "ask.tower_and_level": (
        "{towers}: which one, and how full? Say both, as in {example} at half."
    ),
    "ask.tower_unknown": "No tower called “{name}” here; you have {towers}. Which one?",
    "ask.level": "How full is {tower}? Half, 3/4, 5 in below full, 4 gal left: any of these works.",
    "ask.added": "How much water went in, as in 3 gal? For a tank filled from empty, /dose tells it.",
    "ask.level_unnamed": (
        "How full is the tank? Half, 3/4, 5 in below full, 4 gal left: any of these works."
    ),
    "ask.home": "You are in several communities. Which one is it about, here in private? I ask once.",
    "ask.poured": "How much of each part went in, as in A 120, B 75 mL?",
    "ask.feed": (
        "Which feed? Nobody has set one here yet. Put the label's rate in, as in "
        "2 ml per litre, or ask the coach to set the feed."
    ),
    "ask.feed_unknown": "No feed called “{name}” here; there is {feeds}. Which one?",
    "ask.gallon": "US gallons (3.8 L) or UK gallons (4.5 L)? I ask once.",
    "ask.tds_scale": (
        "{text} on a meter is EC {low} on the 500 scale or EC {high} on the 700 scale. "
        "Which scale is yours? It is in the meter's booklet; I ask once."
    ),
    "ask.jug": "How much does your jug hold? Say the level in litres or gallons this once.",
    "ask.depth": "{text}: water standing that deep, or that far below the full line?",
    "ask.thousands": "{text} could be {high} or {low}. Which is it?",
    "ask.depth_too_big": (
        "{depth} is more than the tank's {full}. Did you mean {smaller}, or {centimetres}?"
    ),
    "ask.depth_above": "{depth} is more than the tank's {full}. How deep is the water?",
    "ask.no_depth": (
        "To turn a depth into water I need the depth of {tower} at the full line. How deep is it? "
        "Save it with /tower edit, or say the level as a fraction."
    ),
    "ask.below_empty": "That would be below empty. How full is the tank now?",
    "ask.over_line": "{water} is more than the {room} that still fits. How much would you add?",
    "ask.above_full": "{level} is more than the {tank} that it holds. How full is it now?",
    "ask.ec_decimal": (
        "EC {ec} is beyond any tank (they read 0 to 5). Did you mean {guess}? CF {cf} is the same."
    ),
    "ask.unit_slip": "EC {ec} after {last}: that looks like another unit. What does the meter show, with its unit?",
    "ask.ec_impossible": "A meter in a tank reads 0 to 5, not {ec}. What does it say?",
    "ask.volume_impossible": "{volume} is no amount of water I can work with. How much is it?",
    "ask.pump_line": "A pump line of {pump} is not below the tank's {tank}. Where does the pump suck air?",
    "ask.depth_impossible": "{depth} is no depth I can work with. How deep is it?",
    "ask.strength_impossible": "{share} is out of reach: 1 % to 200 % of label. How strong?",
    "ask.rate_impossible": "{rate} per litre is no label rate I know. What does the label say?",
    "ask.share_impossible": "A tank is 0 to 100 % full, not {share}. How full is it?",
    "ask.contradiction": "Those numbers contradict each other. Which one is off?",
    "ask.unsure": (
        "I read {read}, but can't place “{rest}”, so I give no amount yet. "
        "Can you say it shorter, as in: half, 1.9?"
    ),
    "ask.unsure_all": (
        "I can't place “{rest}”, so I give no amount. Can you say it shorter, as in: half, 1.9?"
    ),
    "ask.below_tap": (
        "EC {ec} is below your tap water's {tap}, so I give no dose. Rinse the pen, calibrate it, "
        "read again: what does it say now?"
    ),
    "ask.no_depth_unnamed": (
        "I don't know how deep this tank is. How full is it as a fraction, or in litres or gallons?"
    ),
    "ask.refill_mark": "Refilling at {refill} would come after the pump runs dry at {pump}. Which level is it?",
    "ask.temperature_range": "{temp} is no temperature that plants live at. How warm is it?",
    "ask.ph_decimal": "pH {ph} is beyond the scale (0 to 14). Did you mean {guess}?",
    "ask.ph_range": "pH {ph} is no pH of a tank (3 to 10). What does it say?",
    "ask.jug_range": "A jug of {jug} is not one to carry. What does yours hold?",
    "ask.unreadable_day": "“{text}” is no day I can read. Which day is it, as in friday, 8 May, in 2 weeks?",
    "ask.unreadable_flow": "“{text}” is no flow I can read. What comes out at the top, as in 400 l/h or 7 l/min?",
    "ask.range": "{value} is out of reach for {name}: {low} to {high} {unit}. What is it really?",
    "ask.unreadable_unit": "“{text}” is no unit I can turn that into. Which is it, as in ml, litres, gallons, teaspoons?",
    "ask.unreadable_volume": "“{text}” is no amount I can read. How much is it, as in 16 gal, 1.5 l?",
    "ask.unreadable_level": (
        "“{text}” is no level I can read. How full is it? "
        "Half, 3/4, 5 in below full, 4 gal left: any of these works."
    ),
    "ask.unreadable_depth": "“{text}” is no depth I can read. How deep is it, as in 14 in, 36 cm?",
    "ask.unreadable_meter reading": (
        "“{text}” is no meter reading I know. What does it say, as in 1.9, 19 CF, 950 ppm 500?"
    ),
    "ask.unreadable_strength": (
        "“{text}” is no strength I know. How strong, as in half, 60 %, full label rate?"
    ),
    "ask.unreadable_label rate": (
        "“{text}” is no label rate I can read. What does it say, as in 2 ml per litre, 8 ml per gal?"
    ),
    "ask.unreadable_number": "“{text}” is no number I can read. What is it?",
    "ask.unreadable_amounts by part": (
        "“{text}” does not say how much of which part. What went in, as in A 140, B 78?"
    ),
    "ask.unreadable_timer": "“{text}” is no timer I can read. How is it set, as in 15 on, 45 off?",
    "ask.unreadable_ports": "“{text}” is no number of ports I can read. How many, as in 6 levels of 5?",
    "ask.unreadable_pH": "“{text}” is no pH. What does it say, as in 6.1?",
    "ask.unreadable_temperature": "“{text}” is no temperature. How warm is the water, as in 70F or 21 C?",
    "ask.unreadable_moment": "“{text}” is no moment I can read. When was it, as in 7:30, yesterday 7 pm, 3 May?",
    "ask.unreadable_clock": "“{text}” is no time of day. When, as in 7:30 am or 19:30?",
    "ask.unreadable_quiet hours": "“{text}” are no hours I can read. When shall I be silent, as in 9 pm - 8 am?",
    "ask.unreadable_label": "“{text}” is no label I can read. What does it say, as in 8 ml of A and of B per gal?",
    "ask.unreadable_EC gain": "“{text}” is no EC. How much does the feed add at label rate, as in 1.6?",
    "ask.unreadable_watts": "“{text}” are no watts. What does the label say, as in 20?",
    "ask.unreadable_price": "“{text}” is no price. What does a kWh cost, as in 0.30?",
    "ask.unreadable_hours": "“{text}” are no hours. How many a day, as in 14?",
    "ask.unreadable_PPFD": "“{text}” is no PPFD. What does the light meter say, as in 280?",
    "ask.unreadable_DLI": "“{text}” is no DLI. How much light a day, as in 14?",
    "ask.unreadable_page": "“{text}” is no page. Which one?",
    "ask.unreadable_rule": "“{text}” is no value I can read. What shall it be, as in 60 %, 30 or off?",
    "ask.unreadable_drops per mL": "“{text}” is no number of drops. How many make 1 mL, as in 20?",
    "ask.day_over": "“{text}” is over. Which day is it?",
    "ask.day_far": "“{text}” is more than a year away. Which day is it?",
    "ask.moment": "That moment is in the future, or more than a year back. When was it?",
    "ask.temperature": "{text}: degrees Celsius or Fahrenheit?",
    "ask.parts_unknown": "{feed} has {parts}, not “{text}”. What went in, as in {example}?",
    "ask.water_over_target": (
        "The water alone reads {tap}, and the target is {target}. Is your target really that low?"
    ),
    # the values of each reading, beside a question
    "reading.tower": "{name} ({amounts})",
    "reading.pours": "{pours}",
    "reading.water_and": "{water} water + {pours}",
    "reading.water": "{water} plain water",
}
