// The waveforms of a dossier, each reduced to figures by what it shows.
//
// What a file shows is told by the words of `what` in the dossier and by the channels' units and
// names: "light" is light; "start", "inrush", "hold-up" and "hiccup" are events; a voltage or
// current that repeats between 40 Hz and 70 Hz is the mains; anything else is looked at for
// switching and ripple. `probe` multiplies the voltages: it is the attenuation that the file's
// numbers do not hold.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "base/figure.h"
#include "bench/events.h"
#include "bench/harmonic_limits.h"
#include "bench/light.h"
#include "bench/mains.h"
#include "bench/waveform.h"
#include "dossier/dossier.h"

namespace etchback::bench {

struct Record {
    std::string file, what;
    base::Errors why_not;  // where the file could not be read
    std::optional<Waveform> wave;
    std::optional<MainsFigures> mains;
    std::optional<LimitJudgement> limits;
    std::optional<LightFigures> light;
    std::vector<base::Figure> figures;
    std::vector<std::string> warnings;
};

// Three LEDs or more: the item is taken for a lamp or its gear.
bool is_lighting(const dossier::Dossier& dossier);

// Uncertainty that is assumed of a scope and its probes where nothing is known: gain 2 % at k = 2
// for voltage, 3 % for current, 1 us between channels, 100 ppm of the clock (common practice).
MainsSetup usual_setup();

Record record_of(const dossier::Waveform& said, const std::filesystem::path& folder, bool lighting);
std::vector<Record> records_of(const dossier::Dossier& dossier,
                               const std::filesystem::path& folder);

}  // namespace etchback::bench
