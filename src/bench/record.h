// The waveforms of a dossier, each reduced to figures by what it shows.
//
// What a file shows is told by the words of `what` in the dossier and by the channels' units and
// names: "light" is light; "start", "inrush", "hold-up" and "hiccup" are events; a voltage or
// current that repeats between 40 Hz and 70 Hz is the mains; anything else is looked at for
// switching and ripple; "ringing" asks what rings after its edges. `probe` multiplies the voltages:
// it is the attenuation that the file's numbers do not hold. `zero` is taken off the first channel,
// `current_delay` is moved out. A `meter` of data/meters gives the gain's uncertainty.
//
// Where two records show the ringing between the same nets, one with a known capacitor added,
// capacitance and inductance of what rings follow; where one record's `what` names the leakage, and
// the dossier has it, the capacitance does.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/figure.h"
#include "bench/course.h"
#include "bench/events.h"
#include "bench/flickermeter.h"
#include "bench/harmonic_limits.h"
#include "bench/light.h"
#include "bench/mains.h"
#include "bench/meters.h"
#include "bench/waveform.h"
#include "dossier/dossier.h"

namespace etchback::bench {

// What the switching of one channel does over its record.
struct SwitchingSeen {
    std::string channel;
    Switching switching;
    std::optional<FrequencyCourse> course;
};

struct Record {
    std::string file, what, note;
    std::vector<std::string> between;  // nets
    std::string through;               // part
    std::string scenario;  // that was recorded: as the dossier says, else as `what` does
    dossier::Place place;
    base::Errors why_not;          // where the file could not be read
    std::optional<Waveform> wave;  // in the circuit's units
    std::optional<MainsFigures> mains;
    std::optional<LimitJudgement> limits;
    std::optional<LightFigures> light;
    std::optional<FlickerSeverity> flicker;  // of light that lasts a minute
    std::vector<SwitchingSeen> switching;
    std::optional<RingingFound> ringing;
    std::optional<Estimate> added_capacitance_f;
    std::vector<base::Figure> figures;
    std::vector<std::string> warnings;
};

// Three LEDs or more: the item is taken for a lamp or its gear.
bool is_lighting(const dossier::Dossier& dossier);

// Uncertainty that is assumed of a scope and its probes where nothing is known: gain 2 % at k = 2
// for voltage, 3 % for current, 1 us between channels, 100 ppm of the clock (common practice). The
// gains of a meter that is known take their place.
MainsSetup usual_setup(const Meter* meter = nullptr);

Record record_of(const dossier::Waveform& said,
                 const std::filesystem::path& folder,
                 bool lighting,
                 const std::vector<Meter>& meters = {});
std::vector<Record> records_of(const dossier::Dossier& dossier,
                               const std::filesystem::path& folder,
                               const std::vector<Meter>& meters = {});

}  // namespace etchback::bench
