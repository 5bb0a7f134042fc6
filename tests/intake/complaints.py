"""Complaints as owners and odd software send them, for both engines."""

ACCEPTANCE = ("Twelve-gallon water heater, on gas it runs eleven minutes and shuts off, thermostat already replaced, "
              "there is voltage at the board.")

PLAIN = [
    ACCEPTANCE,
    "runs eleven minutes and quits, I already changed the thermostat, what else do I replace?",
    "no hot water", "hot watter heater quits", "furnase blows cold", "heater wont light",
    "it clicks three times and then the red light comes on", "sparks but does not light",
    "the hot tap is only lukewarm", "burner goes out after two seconds", "nothing happens when I flip the switch",
    "stove and furnace both weak", "propane just filled, now every appliance is weak",
    "opened the tap and nothing happens", "water pump is dead", "lights are dim", "pump pump pump pump",
    "Hello, please help, thanks!", "HOT WATER ONLY FOR FIVE MINUTES", "shuts-off/early", "it's the heater's burner",
    "I can’t get it to stay lit", "works on electric but not on gas", "roars then quits", "reset it three times",
]

DANGER = [
    "I smell gas", "there is a smell of gas", "no smell of gas", "there isn't any smell of gas", "I don't smell gas",
    "I dont smell gas", "no heat, smell gas", "no i smell gas", "won't light smell gas", "can't stop smelling gas",
    "never smelled gas like this", "not a gas smell", "smels like propan", "No smell of gas. Later a gas smell!",
    "smoke from the pump", "carbon monoxide alarm went off", "the water smells musty", "gas gas gas", "smell",
    "without any really actual smell of gas", "is it gas? smell it",
]

NUMBERS = [
    "twelve-gallon", "12.6v", "twenty-five min", "12,000 btu", "12,5 volts", "-5 degrees", "minus twenty degrees",
    "it was 5 - 10 minutes", "10-15 minutes", "one hundred twenty volts", "a hundred and twenty volts",
    "twelve thousand btu", "two hundred fifty thousand btu", "a thousand watts", "3 a day", "15a fuse", "2 amps",
    "1.2.3 v", "12 . 6 v", "5 point 6 volts", "99999999999999 min", "0 min", "007 gal", "eleven", "minutes eleven",
    "twenty twenty minutes", "hundred volts", "1e3 watts", "½ gallon", "１２ gal", "²min", "12gal", "at 12V.",
    "(-40f)", "11 inH2O", "60 psi 3 hr 2 hrs 40 secs",
]

ODD = [
    "", " ", "\n\t", "...", "🔥🔥🔥", "heater 🔥 quits", "e\u0301le\u0301ments \u00e9l\u00e9ments", "ÇA ÑO brûleur",
    "İstanbul heater", "straße", "ﬁre ﬂame", "Ⅻ minutes", "a\u20d0b", "\u0645\u0631\u062d\u0628\u0627", "水加热器",
    "😀", "__proto__", "constructor",
    "constructor runs hot", "heater constructor quits", "toString valueOf hasownproperty", "<script>alert(1)</script>",
    "'; drop table", "heater\u2028quits", "heater\x00quits", "' '' don't'''", "it's its it''s", "x" * 400,
    ("runs eleven minutes and quits heeter burnner " * 120)[:5000], "a " * 2500, "0" * 5000, "9 min " * 300,
    "KELVIN K Å", "ŉ ǰ ẞ", "smell\u00a0of\u202fgas", "no\u00a0smell of gas",
]

ALL = PLAIN + DANGER + NUMBERS + ODD
