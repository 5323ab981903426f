// The file that a new dossier starts with: it explains itself.
#include "base/text.h"
#include "dossier/detail/toml_text.h"
#include "dossier/write.h"

namespace etchback::dossier {

namespace {

constexpr std::string_view head =
    R"(# The dossier of one item: what you saw, measured, read and were told. Nothing else belongs here;
# Etchback works out the rest. A line that begins with # is a comment. To use one of the examples
# below, take the # away and put your own words and numbers in. Leave out what you do not know.
#
# Text stands in quotes. So do quantities, as on a bench note:
#   "4k7"  "0R22"  "100n"  "1.5 mH"  "3.6 W"  "85-265 V"  "230 V ±10 %"  "50/60 Hz"
#
# Then:  etchback check FOLDER   names every mistake in this file, with its line;
#        etchback report FOLDER  makes the report.

format = 1                      # version of this file format: leave it

[item]
name = )";

constexpr std::string_view rest = R"(
# maker = "unknown"
# model = "NL-3"
# author = "your name"
# licence = "CC-BY-4.0"         # of this dossier and of the report made from it
# date = 2026-03-14             # year-month-day
# story = """
# Where it comes from and what is the matter with it, in a few sentences.
# """

# What the label, the box or the shop says: one block for each claim.
# [[claims]]
# quantity = "supply voltage"   # supply voltage, supply frequency, supply current, input power,
# value = "220-240 V"           # power factor, output voltage, output current, output power,
# where = "label"               # efficiency, protection class, or words of your own

# What feeds the item.
# [supply]
# kind = "ac"                   # ac or dc
# voltage = "230 V"             # RMS for ac; a range if it takes a range: "85-265 V"
# frequency = "50 Hz"
# earthed = false               # true if it has a protective earth

# The parts. Each has a table of its own, named as on the board. `pins` says which pin lies on
# which net. A net is all that is connected by copper or wire; invent short names for nets and use
# one name for one net everywhere: "L", "N", "HV+", "GND".
#
# What the board is plugged into ("mains", or "DC supply" with the pins "+" and "-"), and what hangs
# on it, are parts as well:
# [parts.J1]
# kind = "mains"
# pins = { L = "L", N = "N" }
#
# [parts.F1]
# kind = "fuse"
# value = "1 A"
# pins = { 1 = "L", 2 = "L_F" }
#
# [parts.R1]
# kind = "resistor"
# marking = "474"               # what is printed on it, letter by letter
# value = "470k"                # what you take that to mean, or what you measured
# body = "1206"
# pins = { 1 = "L_F", 2 = "N" } # leave it out if the copper is to be followed on photos, and say
# pads = { 1 = [812, 431], 2 = [866, 430] }  # where the part is soldered, in pixels of a photo
# pads_on = "photos/top.jpg"
# known = { value = "marking" } # how you know: seen, marking, measured, traced, told, datasheet,
#                               # assumed
#
# [parts.C1]
# kind = "electrolytic capacitor"  # also: ceramic capacitor, film capacitor, X2 capacitor,
# value = "10u"                    # Y1 capacitor, inductor, transformer, diode, Zener diode,
# rated_voltage = "400 V"          # bridge rectifier, LED, N-channel MOSFET, NPN transistor,
# pins = { "+" = "HV+", "-" = "GND" }  # optocoupler, controller, connector and more: a wrong
#                                      # word gets an answer with the right one
#
# [parts.T1]
# kind = "transformer"
# pins = { 1 = "HV+", 2 = "DRAIN", 3 = "SEC", 4 = "OUT-" }
#                               # the first pin of each winding carries the dot
# windings = [{ name = "primary", pins = ["1", "2"] }, { name = "secondary", pins = ["4", "3"] }]
#
# [parts.U1]                    # if you do not know the kind, leave it out: a box with its pins
# marking = "K7 3"
# pins = { 1 = "VCC", 2 = "GND", 3 = "OUT" }

# A net needs a table only if there is something to say about it.
# [nets.GND]
# role = "return"               # live, neutral, earth, return (0 V of its side)
# touchable = false             # true if a person can touch it in use

# What the meters showed. Readings taken at one moment share a group.
# [[readings]]
# quantity = "input power"      # the words of claims, and: apparent power, voltage, current ...
# value = "3.9 W"
# uncertainty = "2 %"           # half-width at about 95 %, in percent or in the same unit
# meter = "plug-in power meter"
# group = "warm"
#
# [[readings]]
# quantity = "voltage"
# between = ["HV+", "GND"]      # two nets
# value = "322 V"

# Beeps of a continuity tester, between "part.pin" or nets.
# [[continuity]]
# between = ["R1.1", "F1.2"]
# beeps = true

# Pictures: copy them into a folder beside this file. From photos of both sides of the bare or
# assembled board, `etchback copper FOLDER` follows the copper and asks about what it cannot see.
# [[photos]]
# file = "photos/top.jpg"
# side = "top"                  # top, bottom, label, other
#
# [board]
# width = "52.5 mm"             # as seen from the top side; it gives the photos their scale
#
# What lies somewhere on a photo: copper, laminate, hole, body, cut, bridge and more.
# [[strokes]]
# photo = "photos/top.jpg"
# says = "copper"
# along = [[300, 240], [340, 262]]
)";

}  // namespace

std::string blank_dossier(std::string_view item_name) {
    const std::string_view name = base::trimmed(item_name);
    return std::string(head) + detail::string_text(name.empty() ? "unnamed item" : name) +
           std::string(rest);
}

}  // namespace etchback::dossier
