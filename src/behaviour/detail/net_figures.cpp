#include "behaviour/detail/net_figures.h"

namespace etchback::behaviour::detail {

namespace {

const Expression& expression_of(const Model& model, ProbeId probe) {
    return model.network.probes()[static_cast<std::size_t>(probe.index)].expression;
}

// The node that a probe of a voltage is counted from; of a node against itself nothing is left.
std::optional<NodeId> from_of(const Expression& voltage) {
    for (const Expression::Volt& volt : voltage.volts) {
        if (volt.factor < 0.0) {
            return volt.node;
        }
    }
    return std::nullopt;
}
std::optional<NodeId> node_of(const Expression& voltage) {
    for (const Expression::Volt& volt : voltage.volts) {
        if (volt.factor > 0.0) {
            return volt.node;
        }
    }
    return std::nullopt;
}

NetFigure::Volts volts_of(const StretchedRun& run, ProbeId probe) {
    return {run.mean(probe), run.rms(probe), run.last_least(probe), run.last_largest(probe)};
}

}  // namespace

std::vector<NetProbes> net_probes_of(Model& model) {
    const Terminals& ends = model.terminals;
    std::optional<Expression> mains;
    if (ends.mains_v && ends.mains_hz > 0.0) {
        mains = expression_of(model, *ends.mains_v);
    }
    const auto live = mains ? node_of(*mains) : std::nullopt;
    const auto neutral = mains ? from_of(*mains).value_or(reference) : reference;
    std::vector<NetProbes> nets;
    for (const auto& [name, probe] : model.net_volts) {
        nets.push_back({name, probe, std::nullopt});
    }
    if (!live) {
        return nets;
    }
    // A return of its own tells a net of another domain; the mains' own return is that of live.
    std::optional<NodeId> own_return;
    for (const NetProbes& one : nets) {
        const Expression& volts = expression_of(model, one.to_return);
        if (node_of(volts) == live) {
            own_return = from_of(volts).value_or(reference);
        }
    }
    for (NetProbes& one : nets) {
        const Expression volts = expression_of(model, one.to_return);
        const auto node = node_of(volts);
        if (node && own_return && from_of(volts).value_or(reference) == *own_return &&
            *node != neutral) {
            one.to_neutral =
                model.network.probe_voltage(one.net + " against neutral", *node, neutral);
        }
    }
    return nets;
}

std::vector<ProbeId> probes_of(const std::vector<NetProbes>& nets) {
    std::vector<ProbeId> probes;
    for (const NetProbes& one : nets) {
        probes.push_back(one.to_return);
        if (one.to_neutral) {
            probes.push_back(*one.to_neutral);
        }
    }
    return probes;
}

std::vector<NetFigure> net_figures_of(const StretchedRun& run, const std::vector<NetProbes>& nets) {
    std::vector<NetFigure> figures;
    for (const NetProbes& one : nets) {
        NetFigure figure{one.net, volts_of(run, one.to_return), std::nullopt};
        if (one.to_neutral) {
            figure.to_neutral = volts_of(run, *one.to_neutral);
        }
        figures.push_back(std::move(figure));
    }
    return figures;
}

}  // namespace etchback::behaviour::detail
