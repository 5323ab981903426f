#include "copper/detail/dossier_checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "base/disjoint_sets.h"
#include "base/text.h"
#include "copper/detail/part_joints.h"
#include "copper/detail/part_pins.h"

namespace etchback::copper::detail {

namespace {

class Ends {
public:
    Ends(const dossier::Dossier& dossier,
         const parts::Catalogue& catalogue,
         const std::vector<Pad>& pads)
        : dossier_(dossier), catalogue_(catalogue), pads_(pads) {}

    std::optional<std::size_t> pad(const std::string& end) const {
        for (auto dot = end.find('.'); dot != std::string::npos; dot = end.find('.', dot + 1)) {
            if (const auto found = pad_of(end.substr(0, dot), end.substr(dot + 1))) {
                return found;
            }
        }
        return pad_on(end);
    }

private:
    std::optional<std::size_t> pad_of(const std::string& name, const std::string& pin) const {
        const dossier::Part* part = dossier_.part(name);
        if (part == nullptr) {
            return std::nullopt;
        }
        const parts::Kind* kind = catalogue_.find(part->kind.value);
        for (std::size_t i = 0; i < pads_.size(); ++i) {
            if (pads_[i].part == name && same_pin(kind, pads_[i].pin, pin)) {
                return i;
            }
        }
        return std::nullopt;
    }

    // The first pad whose pin lies on the net by the person's own word.
    std::optional<std::size_t> pad_on(const std::string& net) const {
        std::string name = net;
        for (const dossier::NetNote& note : dossier_.nets) {
            if (std::ranges::find(note.also, net, &dossier::Text::value) != note.also.end()) {
                name = note.name;
            }
        }
        for (std::size_t i = 0; i < pads_.size(); ++i) {
            const dossier::Part* part = dossier_.part(pads_[i].part);
            const std::string written =
                part == nullptr
                    ? std::string()
                    : written_net(*part, catalogue_.find(part->kind.value), pads_[i].pin);
            if (!written.empty() && (written == name || written == net)) {
                return i;
            }
        }
        return std::nullopt;
    }

    const dossier::Dossier& dossier_;
    const parts::Catalogue& catalogue_;
    const std::vector<Pad>& pads_;
};

}  // namespace

std::vector<Check> checks_of(const dossier::Dossier& dossier,
                             const parts::Catalogue& catalogue,
                             const std::vector<Pad>& pads) {
    const Ends ends(dossier, catalogue, pads);
    std::vector<Check> checks;
    for (const dossier::Continuity& beep : dossier.continuity) {
        if (beep.between.size() != 2) {
            continue;
        }
        const auto a = ends.pad(beep.between[0].value);
        const auto b = ends.pad(beep.between[1].value);
        if (a && b && *a != *b) {
            checks.push_back({.a = *a,
                              .b = *b,
                              .beeps = beep.beeps,
                              .words = beep.between[0].value + " to " + beep.between[1].value});
        }
    }
    return checks;
}

void drop_beeps_through_parts(std::vector<Check>& checks,
                              const Nets& nets,
                              const std::vector<Pad>& pads,
                              const dossier::Dossier& dossier,
                              const parts::Catalogue& catalogue,
                              std::vector<Remark>& remarks) {
    base::DisjointSets joined(nets.nets.size());
    std::map<std::string, std::vector<int>> nets_of_part;
    for (std::size_t i = 0; i < pads.size(); ++i) {
        if (nets.net_of_pad[i] >= 0) {
            nets_of_part[pads[i].part].push_back(nets.net_of_pad[i]);
        }
    }
    for (const dossier::Part& part : dossier.parts) {
        const auto own = nets_of_part.find(part.name);
        if (own == nets_of_part.end() || !beeps_through(part, catalogue.find(part.kind.value))) {
            continue;
        }
        for (const int net : own->second) {
            joined.join(own->second.front(), net);
        }
    }
    std::vector<std::string> dropped;
    std::erase_if(checks, [&](const Check& check) {
        const int a = nets.net_of_pad[check.a];
        const int b = nets.net_of_pad[check.b];
        const bool through = check.beeps && a >= 0 && b >= 0 && a != b && joined.together(a, b);
        if (through) {
            dropped.push_back(check.words);
        }
        return through;
    });
    if (!dropped.empty()) {
        remarks.push_back({fmt::format("the beep of {} may go through a coil, a fuse, a contact or "
                                       "a small resistor: it says nothing about copper",
                                       base::listed(dropped)),
                           "lift one end of that part and probe again if it matters"});
    }
}

}  // namespace etchback::copper::detail
