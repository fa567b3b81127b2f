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

# Words that look like trade words and are not: never mended.
PLAIN: Final = frozenset(
    """
    a about actually again ago all almost alone already also always am an and another any
    anything are around as ask asking at back bad be been being best better between big bit
    both but buy by came can cannot care check close cold come comes coming cool could
    couple day dear did didn didn't do doesn doing done don don't door down each early easy
    eat either else end enough even ever every everything exactly far fast feel few find
    fine five floor flour for forgot found four friend from front fun get gets getting give
    given go goes going gonna good got great guess guy guys had happen happened has have
    haven he hello help her here hey hi him his hot house how hi i idea if in into is isn it
    it's its just keep kid kids kind know large last late later least left less let let's
    lid like list listen little live long look looks lot low made make making man many may
    maybe me mean middle might mine minute moment more most much must my name near never new
    next nice night no none nope nor not nothing now of off oh ok okay old on once one ones
    only or other others our out over own park past people pink plan please poor post pretty
    probably put puts quite rather read real really right room round said same sat say says
    see seem seems send set she shop short shot show side since sit six size skip slow small
    so some something soon sorry sort stand start started still stop story sun sunny sure
    take taken talk tea tell than thank thanks that that's the their them then there these
    they thing things think this those though thought three thru time tiny to today too took
    town true try trying turn two up us use used very via visit wait walk wall want was wasn
    way we week well went were what what's when where which while white who whole why will
    wind window wish with without won won't word work world worse would wrong yeah year
    years yes yet you your rate date state tried dried read bead pants stank bank rank thank
    pain main tool pool fool food mood wood good flow slow glow blow sand band hand land
    ball call fall tall mail hall hour tour sour pour four your dose nose rose those hose
    alive apart arent arm art ash aunt baby bank bare base bath beach bean beans bear beat
    bed beer bell bench bend bent berry best bill bird bit blade bless block bloom blue
    board boat bone book boot born boss bowl box boy brand bread break breeze brick brief
    bright brother brush bush busy cable cake candle cant card careful cart case catch
    cellar chair chance charge cheap chest child choose choy church circle class cleaner
    clear clever client climb cloud coach coast coat code coffee coin collect combine
    comfort copy corn corner couldnt count counter counting country course cover crazy cream
    cross crowd cry cup cut dad damp dark daughter dawn dead deal death deep delay deliver
    delivers delivery desk detail didnt dinner dirty doesnt dog dont dot double doubled
    doubt draw dream dress drip dripping drive dropper drove dump dusk dust duty ear earth
    east edge egg elbow energy enjoy error event ever except expect eye face fact fail fair
    fall false family fan farm fat father fault fear fell fella fence fight file film final
    fire firm fish fit fix flat flip flood fly fog fold folks follow foot force forget fork
    form fort frame free freezer fresh fridge fruit funny game garage garden gas gate gather
    gave gear gentle gently gets ghost gift girl glad glass glove glug goal goes gold grab
    grand grass great grip ground group grow grown guest guide hair hang happy hasnt hat
    havent head hear heart heavy height hello hide high hill hit hobby hold hole holiday
    home honest hope horse hospital hospitals host hung hurry hurt husband id ill im incl
    iron island isnt item ive job join joke juice jump kettle key kick kind kitchen knee
    knife knock lady lake lamb land lane lately laugh law lay lead learn leave letter
    library lie life lift lights link load local lock log lonely loose lose lots loud love
    luck lunch mad mail march mark market master match mate matter meal mean meat mess metal
    mile milk mind miss mix model mom money moon mother mouth move mum music nail narrow
    neat neck needle neem neighbor neighbour nephew nest net news niece noise normal
    north note notice number nurse oak ocean odd offer office oil open orange oven owe own
    pack page pair pale pan panic pants paper parent park party pass path pause pay peel
    pencil phone photo piece pine pipe pity place plate play plenty plus pocket point pole
    pond poor pot potato prefer press price print prize proof proper proud pull pure push
    puts quick quiet race rack radio rail raise ran range rare raw ready reason recall red
    refilled relax remember remove rent rest rich ride ring rinsed rise risk river road rock
    roll roof root rope rough row rub rude rule sad safe sail salad salt same save scale
    school screen sea seal search season seat second secret seem self sell sense serve shade
    shake shape share sharp shed sheet shelf shift shine ship shirt shock shoe shoot
    shouldnt shout shower shut sick sign silly silver simple sing sink sister site sits
    skill skin sky sleep slice slip smell smile smoke smooth snow soap soft soil song soul
    sound soup south space spare speak speed spell spend spice spill spin spoon spot spread
    spring square stack staff stage stair stamp stand star stay stays steam steel steep step
    stick stiff stock stone stood stopping store storm straight strange straw stream street
    stress string strip strong study stuff style sugar suit summer sun supper sweet swim
    swing switch table tail tall taste teach team tear tent term tested tester testing thats
    theres thick thin thirsty thumb ticket tidy tie tight tile tin tip tired title toe
    tomatoes tone tongue tool tooth touch tough track trade train trash tray treat tree
    trick truck trust tube tune twice twin type ugly uncle usual valley value vary verse
    view village vine visit voice wake wander wanna warn wash wasnt waste watch watt watts
    wave wear weather wedding weigh weird wet whats wheel while whisper wide wife wild win
    wine wing wipe wire wise wonder wont wooden wool worry worth wouldnt wrap write yard
    yellow young youre zero
    arrived dial drawn heading held lower packed powder reach shopping slimy thinking unchanged dat
    degree rite thx twr twrs wat wks lvl prt mtr blw tgt chg hlp bout gonna tryna kinda sorta lemme
    raise lowest higher highest deeper shallow bigger biggest smaller smallest older younger newer
    sooner sent spent kept slept built lent felt dealt meant heard hear near fear gear bear pear
    beer deer seer peer sad sat sit set sun son sin dad did den fen men ben hen ken zen few mew
    pew dew new sew hey hay bay may say ray pay lay way eye bye dye rye lie tie pie die age ago
    aid aim air ale and ape apt arc ark ash ask ate awe axe bag ban bar bat bed bee beg bet bid
    bin bow box boy bud bug bun cab cap cob cod cop cow cry cue cut dam dig dim dip doe dot dry
    dub dug duo ear eel egg ego elf elk elm end era eve fan fat fax fee fig fin fix fly foe fog
    fox fur gag gap gem gin god gum gun gut guy gym ham hat hid hip hit hog hop hub hug hum hut
    imp ink inn ion its ivy jam jar jaw jet job jog joy jug keg key kid kin kit lab lad lap law
    leg let lid lip lit log lot mad man map mat met mix mob mom mop mud mug nap net nil nod nor
    nut oar oat odd off oil old our owl own pad pal pan par pat paw pea peg pet pig pin pit pod
    pot pro pub pun pup put rag ram ran rap rat raw red rib rid rig rim rip rob rod rot row rub
    rug run rut sag sap saw sea shy ski sky sly sob soy spa spy sub sue sum tan tar tax tea tin
    tip toe ton too toy tub tug urn use van vat vet via vow wag war wax web wed wet who why wig
    win wit woe won yak yam yes yet you zip zoo lol omg idk btw imo pls plz ppl bro sis mum
    """.split()
)
