// What follows from meter readings besides the power triangle: efficiency, power of the LEDs,
// resistance between the pins of the plug, what the inrush can be.
//
// Uncertainty is that of JCGM 100:2008 with correlation: where one meter read two numbers of one
// unit, both are wrong by the same share (5.2.3 and F.1.2.3 of the GUM), so that in a ratio it
// falls out and in a product it counts twice. Different units are different ranges of a meter,
// adjusted apart, and are taken as independent.
//
// A meter also has a bandwidth and takes peaks only so high: see `doubts_of`.
#pragma once

#include <string>
#include <vector>

#include "base/figure.h"
#include "bench/meters.h"
#include "bench/record.h"
#include "dossier/dossier.h"

namespace etchback::bench {

// Readings of one group make:
//   efficiency.GROUP        output power, or output voltage times output current, over input power
//   output_power.GROUP      output voltage times output current
//   led_power.GROUP         voltage between the pins of an LED string times the output current
//   input_resistance.GROUP  voltage over current between the pins of the mains part, of a group
//                           that says "cold"
//   inrush_limit.GROUP      the supply's highest peak over that resistance, or over a reading
//                           "input resistance"
// An output voltage is 'output voltage' or, of a lamp, 'voltage' between the pins of its LEDs.
std::vector<base::Figure> figures_from_readings(const dossier::Dossier& dossier,
                                                const std::vector<dossier::Reading>& readings);

// A reading that its meter may not be made for, and by how much it is then wider.
struct ReadingDoubt {
    std::size_t reading = 0;
    std::string words;
    double factor = 1.0;  // of the uncertainty; 0: the reading says nothing
};

// Held against the meters' crest factor and bandwidth with what a recorded waveform of the mains
// shows. A reading of current, power or power factor says nothing where the recorded peaks are
// beyond the crest factor times the range; it is widened by what lies above the bandwidth, where
// that is a twentieth of the current or more.
std::vector<ReadingDoubt> doubts_of(const std::vector<dossier::Reading>& readings,
                                    const std::vector<Meter>& meters,
                                    const std::vector<Record>& records);

// The readings with those doubts applied: wider, or left out.
std::vector<dossier::Reading> widened(const std::vector<dossier::Reading>& readings,
                                      const std::vector<ReadingDoubt>& doubts);

}  // namespace etchback::bench
