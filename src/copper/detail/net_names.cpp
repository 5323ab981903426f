#include "copper/detail/net_names.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <tuple>

#include "base/text.h"
#include "copper/detail/pad_feet.h"
#include "copper/detail/part_pins.h"

namespace etchback::copper::detail {

namespace {

class Namer {
public:
    Namer(Nets& nets,
          const std::vector<Pad>& pads,
          const dossier::Dossier& dossier,
          const parts::Catalogue& catalogue,
          std::vector<Remark>& remarks)
        : nets_(nets), pads_(pads), dossier_(dossier), remarks_(remarks) {
        for (const dossier::NetNote& note : dossier.nets) {
            for (const dossier::Text& also : note.also) {
                main_name_[also.value] = note.name;
            }
        }
        for (const Pad& pad : pads) {
            const dossier::Part* part = dossier.part(pad.part);
            std::string net = part == nullptr
                                  ? std::string()
                                  : written_net(*part, catalogue.find(part->kind.value), pad.pin);
            const auto main = main_name_.find(net);
            written_.push_back(main == main_name_.end() ? net : main->second);
        }
    }

    void name() {
        count();
        give();
        number_rest();
        tell_joined();
        tell_split();
    }

private:
    // How often each name is carried by the pins of each net.
    void count() {
        carried_.resize(nets_.nets.size());
        for (std::size_t net = 0; net < nets_.nets.size(); ++net) {
            for (const std::size_t pad : nets_.nets[net].pads) {
                if (!written_[pad].empty()) {
                    carried_[net][written_[pad]].push_back(pad);
                }
            }
        }
    }

    void give() {
        struct Claim {
            std::size_t pins = 0;
            std::size_t net = 0;
            std::string name;
        };
        std::vector<Claim> claims;
        for (std::size_t net = 0; net < carried_.size(); ++net) {
            for (const auto& [name, pads] : carried_[net]) {
                claims.push_back({pads.size(), net, name});
            }
        }
        std::ranges::sort(claims, [](const Claim& a, const Claim& b) {
            return std::tuple(b.pins, a.net, a.name) < std::tuple(a.pins, b.net, b.name);
        });
        std::set<std::size_t> named;
        for (const Claim& claim : claims) {
            if (!named.contains(claim.net) && !given_.contains(claim.name)) {
                nets_.nets[claim.net].name = claim.name;
                named.insert(claim.net);
                given_.insert(claim.name);
            }
        }
        named_ = named;
    }

    bool is_taken(const std::string& name) const {
        const auto used = [&](const dossier::Part& part) {
            return std::ranges::find(part.pins, name, &dossier::PinUse::net) != part.pins.end();
        };
        return given_.contains(name) || main_name_.contains(name) ||
               std::ranges::any_of(dossier_.parts, used);
    }

    void number_rest() {
        int number = 0;
        for (std::size_t net = 0; net < nets_.nets.size(); ++net) {
            if (named_.contains(net)) {
                continue;
            }
            std::string name;
            do {
                name = fmt::format("N{}", ++number);
            } while (is_taken(name));
            nets_.nets[net].name = name;
        }
    }

    std::string some_pads(const std::vector<std::size_t>& pads) const {
        constexpr std::size_t most = 4;
        std::vector<std::string> names;
        for (std::size_t i = 0; i < std::min(pads.size(), most); ++i) {
            names.push_back(detail::name_of(pads_[pads[i]]));
        }
        if (pads.size() > most) {
            names.push_back(fmt::format("{} more", pads.size() - most));
        }
        return base::listed(names);
    }

    // Names of several nets on one piece of copper.
    void tell_joined() {
        for (std::size_t net = 0; net < carried_.size(); ++net) {
            for (const auto& [name, pads] : carried_[net]) {
                const bool split = !named_.contains(net) && carried_[net].size() == 1;
                if (name != nets_.nets[net].name && !split) {
                    remarks_.push_back(
                        {fmt::format("{} {} on net {} by the dossier, but copper joins {} to {}",
                                     some_pads(pads),
                                     pads.size() == 1 ? "is" : "are",
                                     name,
                                     pads.size() == 1 ? "it" : "them",
                                     nets_.nets[net].name),
                         "look at the copper there; mend the pins, or cut with a stroke"});
                }
            }
        }
    }

    // One name on several pieces of copper.
    void tell_split() {
        for (std::size_t net = 0; net < carried_.size(); ++net) {
            const bool nameless = !named_.contains(net);
            for (const auto& [name, pads] : carried_[net]) {
                if (nameless && carried_[net].size() == 1) {
                    remarks_.push_back(
                        {fmt::format(
                             "{} {} on net {} by the dossier, but no copper is seen that joins "
                             "{} to the rest of it",
                             some_pads(pads),
                             pads.size() == 1 ? "is" : "are",
                             name,
                             pads.size() == 1 ? "it" : "them"),
                         "probe it; a beep in the dossier or a bridging stroke joins them"});
                }
            }
        }
    }

    Nets& nets_;
    const std::vector<Pad>& pads_;
    const dossier::Dossier& dossier_;
    std::vector<Remark>& remarks_;
    std::map<std::string, std::string> main_name_;
    std::vector<std::string> written_;
    std::vector<std::map<std::string, std::vector<std::size_t>>> carried_;
    std::set<std::string> given_;
    std::set<std::size_t> named_;
};

}  // namespace

void name_nets(Nets& nets,
               const std::vector<Pad>& pads,
               const dossier::Dossier& dossier,
               const parts::Catalogue& catalogue,
               std::vector<Remark>& remarks) {
    Namer(nets, pads, dossier, catalogue, remarks).name();
}

}  // namespace etchback::copper::detail
