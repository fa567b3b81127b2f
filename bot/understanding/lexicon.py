"""The words that sentences here are made of; a word that is none of them may be a slip of one.

Not a dictionary of English: what carries meaning for the tank, and what must not be mended into it.
"""

from __future__ import annotations

from typing import Final

TRADE: Final = frozenset(
    """
    insecticide insecticides pesticide pesticides fungicide fungicides fungus gnats aphids mites mildew
    caterpillars poison stings swallowed aquarium goldfish undiluted concentrate extension edible
    electrician shock sparks
    tank tanks reservoir tower towers pump pumps pumping timer timers level levels full half
    quarter third thirds quarters empty water gallon gallons litre litres liter liters inch
    inches finger fingers below above down under line mark bottom top topped topping refill
    refilling filled filling fill pour poured pouring added adding strength seedling
    seedlings seed seeds plugs plug nutrient nutrients feed feeding fed dose dosing bottle
    bottles mixed mixing together part parts label rate recipe target reading reads meter
    pen drops drop jug test tested brought drain drained dilute strong weak stronger plain
    tap hose faucet rain softened softener hardness hard grains alkalinity report frozen
    freeze ice cool cooling temperature degrees warm heat power outage electricity roots
    root dry drying hanging hours hour minutes minute day days week weeks month months
    weekly daily overnight yesterday today tomorrow tonight morning evening since leak
    leaking leaked lost dropped normally usually leaving away vacation holiday trip gone
    picture pictures chart charts graph graphs
    drinks drink drinking uses using change changed changing bleach sanitize sanitise
    disinfect clean cleaning cleaned emptied rinse slime algae green yellow leaves leaf
    peroxide vinegar ammonia acid heads head lettuce basil spinach kale chard tomato
    tomatoes pepper peppers cucumber parsley cilantro arugula strawberry strawberries mint
    celery pak choi rocket coriander dill bunch bunches germinate germination sprout sprouts
    sow sowing sown harvest harvested picked pick transplant port ports planted plant plants
    planting level cost costs costing bucks dollars electric electricity head left supply
    supplies runs run last lasts reorder order shipping arrive arrives ship delivered
    indoors outdoors inside outside indoor outdoor bringing bring moving light lights lamp
    ppfd hours everyone anyone someone somebody people each spare extra shares split total
    altogether combined together pacific eastern central mountain london time clock session
    live call meeting logged checked posted heard quiet silent members member library
    kitchen porch patio balcony garage office school greenhouse deck first second please
    want wants wanted need needs target aim gave percent inches pounds ounces grams cups
    teaspoon tablespoon millilitres milliliters quart quarts swap scoop replace concentrate
    undiluted premix accidentally mistake instead forgot only double twice how much many
    when what which where does should before after until
    """.split()
)

# Where towers stand: the words of which people make their names.
PLACES: Final = frozenset(
    """
    porch kitchen patio balcony garage office school greenhouse deck library yard garden basement
    roof terrace bench shed stoop hall window cellar attic sunroom conservatory lounge scullery nook
    barn carport gate pergola veranda pantry hallway landing courtyard allotment workshop laundry
    utility windowsill backyard clubhouse classroom
    """.split()
)

# Short forms and British spellings that the list of English words lacks: never mended.
PLAIN: Final = frozenset(
    """
    jan feb mar apr jun jul aug sep sept oct nov dec mon tue tues wed thu thur thurs fri
    a am an arent as at be blw bro btw by chg choy couldnt dat didn didn't didnt do doesn doesnt
    don't dont glug go hasnt havent he hi hlp i id idk if im imo in incl is isn isnt it it's ive
    let's lol lvl me mtr my neem neighbour no of oh ok omg on or pls plz ppl prt shouldnt so tgt
    that's thats theres thru thx to tryna twr twrs up us wasn wasnt we what's wks won't wouldnt
    youre
    """.split()
)
