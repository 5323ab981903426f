#include "blocks/detail/knowledge.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "blocks/kinds.h"

namespace etchback::blocks::detail {
namespace {

using circuit::NetId;

void merge_words(std::vector<std::string>& into, const std::vector<std::string>& more) {
    for (const std::string& word : more) {
        if (std::find(into.begin(), into.end(), word) == into.end()) {
            into.push_back(word);
        }
    }
}

void merge_evidence(std::vector<base::Evidence>& into, const std::vector<base::Evidence>& more) {
    for (const base::Evidence& e : more) {
        if (std::find(into.begin(), into.end(), e) == into.end()) {
            into.push_back(e);
        }
    }
}

// RMS of the difference where the shapes allow to say; 0 means "not known".
double rms_between(const Level& a, const Level& b) {
    if (a.form == Form::dc && b.form == Form::dc) {
        return std::abs(a.steady_v - b.steady_v);
    }
    const Level& wave = a.form == Form::dc ? b : a;
    const Level& flat = a.form == Form::dc ? a : b;
    // A small direct voltage beside a large wave changes its RMS value by less than a tenth.
    const bool small = flat.form == Form::dc && flat.high_v < 0.1 * wave.high_v;
    const bool steady = wave.form != Form::switching;
    return small && steady ? wave.steady_v : 0.0;
}

// Falls out of two levels of one frame: `up` lies above `down` at the moment of the largest
// voltage.
VoltageBetween difference(const circuit::Circuit& circuit,
                          NetId up_net,
                          const Level& up,
                          NetId down_net,
                          const Level& down,
                          bool down_is_reference) {
    VoltageBetween v;
    v.from = up_net;
    v.to = down_net;
    v.working_v_peak = up.high_v - down.low_v;
    v.working_v_rms = rms_between(up, down);
    v.alternating = up.form == Form::sine || down.form == Form::sine;
    const double fault = up.fault_high_v.value_or(up.high_v) - down.low_v;
    if (fault > v.working_v_peak) {
        v.single_fault_v_peak = fault;
    }
    v.unlimited_on_open_load = up.unlimited_on_open_load;
    v.bound_only = up.bound_only || down.bound_only;
    v.because = up.because;
    if (!down_is_reference && !down.because.empty() && down.because != up.because) {
        v.because += (v.because.empty() ? "" : "; ") + down.because;
    }
    if (v.single_fault_v_peak || v.unlimited_on_open_load) {
        v.fault_because = up.fault_because;
    }
    base::Figure& f = v.figure;
    f.symbol = "U";
    f.value = v.working_v_peak;
    f.unit = base::Unit::volt;
    f.source = up.source.empty() ? down.source : up.source;
    f.assumed = up.assumed || down.assumed;
    if (down_is_reference && !up.formula.empty()) {
        f.formula = up.formula;
        f.worked = up.worked;
    } else {
        f.formula = "U = U(" + circuit[up_net].name + ") - U(" + circuit[down_net].name + ")";
        const std::string low = volts(down.low_v);
        f.worked = "U = " + volts(up.high_v) + " - " + (down.low_v < 0.0 ? "(" + low + ")" : low);
    }
    f.worked += " = " + volts(v.working_v_peak);
    f.parts = up.parts;
    f.evidence = up.evidence;
    if (!down_is_reference) {
        merge_words(f.parts, down.parts);
        merge_evidence(f.evidence, down.evidence);
    }
    return v;
}

void name_figure(const circuit::Circuit& circuit, VoltageBetween& v) {
    const std::string& a = circuit[v.from].name;
    const std::string& b = circuit[v.to].name;
    v.figure.id = "voltage." + a + "." + b;
    v.figure.title = "Largest voltage between " + a + " and " + b;
    v.figure.nets = {a, b};
}

}  // namespace

const Level* Frame::of(NetId net) const {
    const auto it = std::find_if(levels.begin(), levels.end(), [&](const Level& level) {
        return contains(level.nets, net);
    });
    return it == levels.end() ? nullptr : &*it;
}

Frame* Knowledge::frame_of(NetId net) {
    const auto it =
        std::find_if(frames.begin(), frames.end(), [&](const Frame& f) { return f.of(net); });
    return it == frames.end() ? nullptr : &*it;
}

const Frame* Knowledge::frame_of(NetId net) const {
    const auto it =
        std::find_if(frames.begin(), frames.end(), [&](const Frame& f) { return f.of(net); });
    return it == frames.end() ? nullptr : &*it;
}

bool Knowledge::has_direct(NetId a, NetId b) const {
    return std::any_of(direct.begin(), direct.end(), [&](const VoltageBetween& v) {
        return (v.from == a && v.to == b) || (v.from == b && v.to == a);
    });
}

std::optional<VoltageBetween> Knowledge::between(NetId a, NetId b) const {
    for (const VoltageBetween& v : direct) {
        if ((v.from == a && v.to == b) || (v.from == b && v.to == a)) {
            VoltageBetween out = v;
            name_figure(circuit, out);
            return out;
        }
    }
    for (const Frame& frame : frames) {
        const Level* la = frame.of(a);
        const Level* lb = frame.of(b);
        if (la == nullptr || lb == nullptr || la == lb) {
            continue;
        }
        const bool a_up = la->high_v - lb->low_v >= lb->high_v - la->low_v;
        const Level* down = a_up ? lb : la;
        const bool to_reference = down == &frame.levels.front();
        VoltageBetween out = a_up ? difference(circuit, a, *la, b, *lb, to_reference)
                                  : difference(circuit, b, *lb, a, *la, to_reference);
        name_figure(circuit, out);
        return out;
    }
    return std::nullopt;
}

void Knowledge::add_level(Frame& frame, Level level) {
    for (Level& there : frame.levels) {
        const bool same = std::any_of(level.nets.begin(), level.nets.end(), [&](NetId net) {
            return contains(there.nets, net);
        });
        if (!same) {
            continue;
        }
        for (const NetId net : level.nets) {
            if (frame.of(net) == nullptr) {
                there.nets.insert(std::upper_bound(there.nets.begin(), there.nets.end(), net), net);
            }
        }
        if (&there != &frame.levels.front() && level.high_v > there.high_v) {
            level.nets = there.nets;
            level.low_v = std::min(level.low_v, there.low_v);
            there = std::move(level);
        }
        return;
    }
    frame.levels.push_back(std::move(level));
}

NetId principal(const circuit::Circuit& circuit, const std::vector<NetId>& nets) {
    const auto rank = [&](NetId net) {
        return std::pair(circuit[net].role.empty() ? 0 : 1, circuit[net].pins.size());
    };
    NetId best = nets.front();
    for (const NetId net : nets) {
        if (rank(net) > rank(best)) {
            best = net;
        }
    }
    return best;
}

base::Evidence evidence_of(const circuit::Part& part, std::string detail) {
    return {base::Evidence::Kind::part, part.name, std::move(detail), part.said.place};
}

bool is_doubtful(const circuit::Part& part, std::initializer_list<std::string_view> fields) {
    return std::any_of(fields.begin(), fields.end(), [&](std::string_view field) {
        const auto& others = part.said.alternatives;
        return part.said.basis(field) == dossier::Basis::assumed ||
               std::any_of(others.begin(), others.end(), [&](const dossier::Alternative& a) {
                   return a.field == field;
               });
    });
}

bool thresholds_doubtful(const circuit::Part& chip) {
    return is_doubtful(chip, {"thresholds", "type"});
}

void name_doubts(base::Figure& figure, const circuit::Circuit& circuit) {
    static constexpr std::array<std::string_view, 8> fields = {"value",
                                                               "thresholds",
                                                               "windings",
                                                               "count",
                                                               "forward_voltage",
                                                               "reference_voltage",
                                                               "rated_current",
                                                               "type"};
    if (!figure.assumed) {
        return;
    }
    std::vector<base::Evidence> doubts;
    for (const base::Evidence& e : figure.evidence) {
        const auto id = e.kind == base::Evidence::Kind::part ? circuit.part(e.name) : std::nullopt;
        for (const std::string_view field : fields) {
            if (!id) {
                break;
            }
            const dossier::Part& said = circuit[*id].said;
            std::string words(field);
            std::replace(words.begin(), words.end(), '_', ' ');
            // Most parts' numbers do not follow from their type.
            const bool matters = field != "type" || !said.thresholds.empty();
            if (matters && said.basis(field) == dossier::Basis::assumed) {
                doubts.push_back({base::Evidence::Kind::assumption,
                                  said.name,
                                  words + " is assumed",
                                  said.place});
            }
            for (const dossier::Alternative& other : said.alternatives) {
                if (other.field == field) {
                    doubts.push_back(
                        {base::Evidence::Kind::assumption,
                         said.name,
                         words + " may be " + other.reading.value +
                             (other.because.value.empty() ? "" : ": " + other.because.value),
                         other.reading.place});
                }
            }
        }
    }
    merge_evidence(figure.evidence, doubts);
}

std::string volts(double v) {
    return base::to_engineering(v, base::Unit::volt, {.digits = 4});
}

}  // namespace etchback::blocks::detail
