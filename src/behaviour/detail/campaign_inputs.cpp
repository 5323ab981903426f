#include "behaviour/detail/campaign_inputs.h"

#include <fmt/format.h>

#include <numbers>

#include "behaviour/detail/journal_file.h"
#include "behaviour/detail/model_tables.h"
#include "behaviour/detail/scenario_supply.h"
#include "dossier/write.h"

namespace etchback::behaviour::detail {

namespace {

// Writes a network down, number by number, each so that it reads back the same.
class Writing {
public:
    std::string text;

    template <typename... Words>
    void line(const Words&... words) {
        ((text += fmt::format("{} ", words)), ...);
        text += '\n';
    }

    void expression(const Expression& e) {
        for (const auto& v : e.volts) {
            line("v", v.node.index, v.factor);
        }
        for (const auto& a : e.amperes) {
            line("a", a.winding.index, a.factor);
        }
        for (const auto& k : e.knobs) {
            line("k", k.knob.index, k.factor);
        }
        line("c", e.constant);
    }

    void operator()(const Constant& s) { line("constant", s.value); }
    void operator()(const Sine& s) {
        line("sine", s.amplitude, s.frequency_hz, s.phase_rad, s.factor ? s.factor->index : -1);
    }
    void operator()(const FromKnob& s) { line("knob", s.knob.index, s.factor); }
    void operator()(const Table& s) {
        line("table", s.period_s.value_or(-1.0));
        for (std::size_t i = 0; i < s.t_s.size(); ++i) {
            line(s.t_s[i], s.value[i]);
        }
    }
    void operator()(const Conductance& e) { line("conductance", e.siemens); }
    void operator()(const Capacitance& e) { line("capacitance", e.farad, e.initial_v); }
    void operator()(const Winding& e) { line("winding", e.henry, e.ohm, e.initial_a); }
    void operator()(const Curve& e) {
        line("curve", e.threshold_scale, e.current.anchor);
        for (const double corner : e.current.corners) {
            line("corner", corner);
        }
        for (const double slope : e.current.slopes) {
            line("slope", slope);
        }
        expression(e.control);
    }
    void operator()(const Controlled& e) {
        line("controlled");
        expression(e.current_a);
    }
    void operator()(const Switch& e) { line("switch", e.on_siemens, e.off_siemens, e.closed); }
    void operator()(const VoltageSource& e) { std::visit(*this, e.volt); }
    void operator()(const CurrentSource& e) { std::visit(*this, e.ampere); }

    void network(const Network& net) {
        for (const Branch& branch : net.branches()) {
            line(branch.name, branch.from.index, branch.to.index, branch.owner.index);
            std::visit(*this, branch.element);
        }
        for (const Coupling& c : net.couplings()) {
            line("coupling", c.first.index, c.second.index, c.henry);
        }
        for (const IdealTransformer& t : net.transformers()) {
            line(t.name, t.first_plus.index, t.first_minus.index, t.second_plus.index);
            line(t.second_minus.index, t.ratio);
        }
        for (const Knob& knob : net.knobs()) {
            line(knob.name, knob.initial);
        }
        for (const Probe& probe : net.probes()) {
            line(probe.name, static_cast<int>(probe.kind), probe.branch.index, probe.scale);
            expression(probe.expression);
        }
    }

    void families(const std::vector<Family>& all) {
        for (const Family& family : all) {
            line(family.family, family.behaviour);
            for (const FamilyNumber& number : family.numbers) {
                line(number.name, number.usual.value);
            }
        }
    }

    void limits(const std::vector<Limit>& all) {
        for (const Limit& limit : all) {
            line(limit.part, static_cast<int>(limit.kind), limit.rating.value_or(-1.0));
        }
    }
};

}  // namespace

std::vector<Corner> corners_of(const dossier::Dossier& dossier, const Model& nominal) {
    const Terminals& ends = nominal.terminals;
    double own_v = 0.0;
    if (ends.mains_peak) {
        own_v = nominal.network.knobs()[static_cast<std::size_t>(ends.mains_peak->index)].initial;
        own_v = ends.mains_hz > 0.0 ? own_v / std::numbers::sqrt2 : own_v;
    }
    const double low =
        supply_v(dossier, Scenario::Supply::low).value_or(own_v * (1.0 - usual_tolerance));
    const double middle = supply_v(dossier, Scenario::Supply::nominal).value_or(own_v);
    const double high =
        supply_v(dossier, Scenario::Supply::high).value_or(own_v * (1.0 + usual_tolerance));
    std::vector<Corner> corners;
    for (const double volts : {low, middle, high}) {
        const Corner corner{fmt::format("{:.4g} V", volts), volts};
        if (corners.empty() || corners.back().name != corner.name) {
            corners.push_back(corner);
        }
    }
    return corners;
}

std::string inputs_of(const std::string& kind, const Subject& subject, const Model& nominal) {
    Writing writing;
    writing.line(kind);
    writing.text += dossier::write(subject.dossier, subject.tables.catalogue);
    writing.network(nominal.network);
    writing.families(subject.tables.families);
    writing.limits(nominal.limits);
    return std::move(writing.text);
}

JobOptions job_options(const CampaignOptions& options,
                       const std::string& kind,
                       const Subject& subject,
                       const Model& nominal) {
    return {.threads = options.threads,
            .ranks = options.ranks,
            .journal = options.journal,
            .inputs = fingerprint(inputs_of(kind, subject, nominal)),
            .interrupted = options.interrupted,
            .progress = options.progress};
}

}  // namespace etchback::behaviour::detail
