// Names that must mean something elsewhere in the dossier: nets that lie on a pin, ends of
// continuity checks that exist, photos that strokes lie on.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "base/text.h"
#include "dossier/detail/reading.h"

namespace etchback::dossier::detail {

namespace {

class References {
public:
    References(const Dossier& dossier, const Context& context)
        : dossier_(dossier), context_(context) {
        for (const Part& part : dossier.parts) {
            for (const PinUse& use : part.pins) {
                on_pins_.insert(use.net);
            }
        }
        nets_.assign(on_pins_.begin(), on_pins_.end());
        for (const NetNote& note : dossier.nets) {
            nets_.push_back(note.name);
            for (const Text& also : note.also) {
                nets_.push_back(also.value);
            }
        }
    }

    void check_notes() {
        std::map<std::string, std::string> owner;
        for (const NetNote& note : dossier_.nets) {
            owner.emplace(note.name, note.name);
        }
        for (const NetNote& note : dossier_.nets) {
            check_used(note);
            for (const Text& also : note.also) {
                check_name(also.value,
                           fmt::format("net {}: a name in also", note.name),
                           also.place,
                           context_);
                const auto [other, is_new] = owner.emplace(also.value, note.name);
                if (!is_new) {
                    complain_of_two_owners(also, note.name, other->second);
                }
            }
        }
    }

    void check_nets(const std::vector<Text>& names, const std::string& where) const {
        for (const Text& name : names) {
            if (!is_net(name.value)) {
                const std::string guess = did_you_mean(name.value, nets_);
                context_.complain(
                    name.place,
                    fmt::format("{}: no pin is on a net called {}", where, in_quotes(name.value)),
                    guess.empty() ? "write the name of a net as in pins" : guess);
            }
        }
    }

    void check_ends(const Continuity& beep, const std::string& where) const {
        for (const Text& end : beep.between) {
            if (!is_net(end.value) && !is_pin(end.value)) {
                complain_of_end(end, where);
            }
        }
    }

    void check_loads(const Scenario& scenario) const {
        for (const Deed& deed : scenario.deeds) {
            check_part(deed.load,
                       "scenario " + scenario.id.value,
                       "name a load, or leave it out to mean all of them");
        }
    }

    // A part by its name, if there is a name at all.
    void check_part(const Text& name, const std::string& where, const char* todo) const {
        if (name.value.empty() || dossier_.part(name.value) != nullptr) {
            return;
        }
        std::vector<std::string> names;
        for (const Part& part : dossier_.parts) {
            names.push_back(part.name);
        }
        const std::string guess = did_you_mean(name.value, names);
        context_.complain(name.place,
                          fmt::format("{}: there is no part {}", where, in_quotes(name.value)),
                          guess.empty() ? todo : guess);
    }

    // A photo of a side of the board, named as in [[photos]].
    void check_photo(const Text& photo, const std::string& where) const {
        if (photo.value.empty()) {
            return;
        }
        std::vector<std::string> files;
        for (const Photo& one : dossier_.photos) {
            files.push_back(one.file.value);
            if (one.file.value != photo.value) {
                continue;
            }
            if (one.side.value != "top" && one.side.value != "bottom") {
                context_.complain(
                    photo.place,
                    fmt::format(
                        "{}: {} is no photo of a side of the board", where, in_quotes(photo.value)),
                    "write side = \"top\" or side = \"bottom\" at the photo");
            }
            return;
        }
        const std::string guess = did_you_mean(photo.value, files);
        context_.complain(photo.place,
                          fmt::format("{}: no photo is called {}", where, in_quotes(photo.value)),
                          guess.empty() ? "write the photo's file as in [[photos]]" : guess);
    }

private:
    bool is_net(const std::string& name) const {
        return std::ranges::find(nets_, name) != nets_.end();
    }

    // "R1.2"; a part's name may itself hold a dot.
    bool is_pin(const std::string& end) const {
        for (auto dot = end.find('.'); dot != std::string::npos; dot = end.find('.', dot + 1)) {
            const Part* part = dossier_.part(end.substr(0, dot));
            if (part != nullptr && has_pin(*part, end.substr(dot + 1))) {
                return true;
            }
        }
        return false;
    }

    bool has_pin(const Part& part, const std::string& pin) const {
        const parts::Kind* kind = context_.catalogue.find(part.kind.value);
        return std::ranges::find(part.pins, pin, &PinUse::pin) != part.pins.end() ||
               std::ranges::find(part.pads, pin, &PadPlace::pin) != part.pads.end() ||
               (kind != nullptr && kind->pin(pin));
    }

    void check_used(const NetNote& note) const {
        const bool used =
            on_pins_.contains(note.name) || std::ranges::any_of(note.also, [&](const Text& also) {
                return on_pins_.contains(also.value);
            });
        if (!used) {
            const std::vector<std::string> known(on_pins_.begin(), on_pins_.end());
            const std::string guess = did_you_mean(note.name, known);
            context_.complain(
                note.place,
                fmt::format("net {}: no pin of any part is on it", in_quotes(note.name)),
                guess.empty() ? "write its name as in pins, or take the table out" : guess);
        }
    }

    void complain_of_two_owners(const Text& also,
                                const std::string& net,
                                const std::string& other) {
        context_.complain(
            also.place,
            net == other
                ? fmt::format("net {}: also repeats the name {}", net, in_quotes(also.value))
                : fmt::format(
                      "{} is a name of net {} and of net {}", in_quotes(also.value), other, net),
            net == other ? "take it out" : "if they are one net, put all into one table");
    }

    void complain_of_end(const Text& end, const std::string& where) const {
        const auto dot = end.value.rfind('.');
        const Part* part =
            dot == std::string::npos ? nullptr : dossier_.part(end.value.substr(0, dot));
        if (part != nullptr) {
            context_.complain(end.place,
                              fmt::format("{}: part {} has no pin {}",
                                          where,
                                          part->name,
                                          in_quotes(end.value.substr(dot + 1))),
                              pins_of(*part).empty()
                                  ? "add it to the part's pins"
                                  : "its pins are " + base::listed(pins_of(*part)));
            return;
        }
        std::vector<std::string> names = nets_;
        for (const Part& one : dossier_.parts) {
            for (const std::string& pin : pins_of(one)) {
                names.push_back(one.name + "." + pin);
            }
        }
        const std::string guess = did_you_mean(end.value, names);
        context_.complain(
            end.place,
            fmt::format("{}: {} is no part.pin and no net", where, in_quotes(end.value)),
            guess.empty() ? "write \"part.pin\", as in \"R1.2\", or the name of a net" : guess);
    }

    static std::vector<std::string> pins_of(const Part& part) {
        std::vector<std::string> pins;
        for (const PinUse& use : part.pins) {
            pins.push_back(use.pin);
        }
        for (const PadPlace& pad : part.pads) {
            if (std::ranges::find(pins, pad.pin) == pins.end()) {
                pins.push_back(pad.pin);
            }
        }
        return pins;
    }

    const Dossier& dossier_;
    const Context& context_;
    std::set<std::string> on_pins_;
    std::vector<std::string> nets_;  // all names by which a net may be called
};

}  // namespace

void check_references(const Dossier& dossier, const Context& context) {
    References references(dossier, context);
    references.check_notes();
    for (std::size_t i = 0; i < dossier.readings.size(); ++i) {
        references.check_nets(dossier.readings[i].between, fmt::format("reading {}", i + 1));
    }
    for (std::size_t i = 0; i < dossier.waveforms.size(); ++i) {
        const std::string where = fmt::format("waveform {}", i + 1);
        references.check_nets(dossier.waveforms[i].between, where);
        references.check_part(
            dossier.waveforms[i].through, where, "name the part that the current flows through");
    }
    for (std::size_t i = 0; i < dossier.continuity.size(); ++i) {
        references.check_ends(dossier.continuity[i], fmt::format("continuity check {}", i + 1));
    }
    for (const Part& part : dossier.parts) {
        references.check_photo(part.pads_on, "part " + part.name + ", pads_on");
    }
    for (std::size_t i = 0; i < dossier.board.lengths.size(); ++i) {
        references.check_photo(dossier.board.lengths[i].photo, fmt::format("length {}", i + 1));
    }
    for (std::size_t i = 0; i < dossier.strokes.size(); ++i) {
        references.check_photo(dossier.strokes[i].photo, fmt::format("stroke {}", i + 1));
    }
    for (const Scenario& scenario : dossier.scenarios) {
        references.check_loads(scenario);
    }
    check_drawing(dossier, context);
}

}  // namespace etchback::dossier::detail
