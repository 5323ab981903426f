#include "dossier/generator.h"

#include <algorithm>
#include <set>

namespace etchback::dossier {

namespace {

bool is_net_of(const Dossier& dossier, const std::string& name) {
    return std::ranges::any_of(dossier.parts, [&](const Part& part) {
        return std::ranges::find(part.pins, name, &PinUse::net) != part.pins.end();
    });
}

Text text(std::string words) {
    return {std::move(words), {}};
}

}  // namespace

void Generator::edit_part(Part& old) {
    const Part fresh = part(old.name);
    switch (dice_.below(12)) {
        case 0:
            old.note = fresh.note;
            break;
        case 1:
            old.title = fresh.title;
            old.marking = fresh.marking;
            break;
        case 2:
            old.rated_voltage = fresh.rated_voltage;
            old.rated_power = fresh.rated_power;
            break;
        case 3:
            old.position = fresh.position;
            break;
        case 4:
            old.known = fresh.known;
            break;
        case 5:
            old.alternatives = fresh.alternatives;
            break;
        case 6:
            if (!old.thresholds.empty() || old.kind.value.empty()) {  // else the kind may have none
                old.thresholds = fresh.thresholds;
            }
            break;
        case 7:
            if (!old.pins.empty()) {
                old.pins[dice_.below(old.pins.size())].net = net();
            }
            break;
        case 8:
            if (!old.pins.empty() && old.windings.empty()) {
                old.pins.erase(old.pins.begin() + static_cast<long>(dice_.below(old.pins.size())));
            }
            break;
        case 9:
            if (old.pins.size() > 1) {
                std::swap(old.pins.front(), old.pins.back());
            }
            break;
        case 10:
            if (!old.windings.empty()) {
                old.windings.erase(old.windings.begin());
            }
            break;
        default:
            old = fresh;
            break;
    }
}

void Generator::edit_parts(Dossier& dossier) {
    auto& parts = dossier.reference && dice_.chance(20) ? dossier.reference->parts : dossier.parts;
    const std::size_t at = dice_.below(parts.size());
    switch (parts.empty() ? 4 : dice_.below(8)) {
        case 0:
            parts.erase(parts.begin() + static_cast<long>(at));
            break;
        case 1:
            std::swap(parts[at], parts[dice_.below(parts.size())]);
            break;
        case 2:
            parts[at].name = free_part_name(parts);
            break;
        case 3:
        case 4:
            parts.insert(parts.begin() + static_cast<long>(dice_.below(parts.size() + 1)),
                         part(free_part_name(parts)));
            break;
        default:
            edit_part(parts[at]);
            break;
    }
}

namespace {

// Adds, takes out or replaces an element of a list.
template <typename T, typename Make>
void edit_list(std::vector<T>& list, Dice& dice, Make make) {
    const auto at = static_cast<long>(dice.below(list.size()));
    switch (list.empty() ? 0 : dice.below(4)) {
        case 0:
            list.insert(list.begin() + static_cast<long>(dice.below(list.size() + 1)), make());
            break;
        case 1:
            list.erase(list.begin() + at);
            break;
        case 2:
            std::swap(list[static_cast<std::size_t>(at)], list.back());
            break;
        default:
            list[static_cast<std::size_t>(at)] = make();
            break;
    }
}

}  // namespace

void Generator::edit_lists(Dossier& dossier) {
    switch (dice_.below(12)) {
        case 8:
            edit_list(dossier.strokes, dice_, [&] { return stroke(dossier); });
            break;
        case 9:
            edit_list(dossier.board.lengths, dice_, [&] { return length(dossier); });
            break;
        case 10:
            if (!dossier.parts.empty()) {
                add_pads(dossier.parts[dice_.below(dossier.parts.size())], dossier);
            }
            break;
        case 11:
            if (!dossier.photos.empty()) {
                edit_list(dossier.photos.front().points, dice_, [&] {
                    return PhotoPoint{text("spot " + std::to_string(++names_)), 1.5, 2.0, {}, {}};
                });
            }
            break;
        case 6:
            edit_list(dossier.scenarios, dice_, [&] { return scenario(dossier); });
            break;
        case 7:
            if (!dossier.scenarios.empty()) {
                Scenario& one = dossier.scenarios[dice_.below(dossier.scenarios.size())];
                const double span_s = one.span.value.value;
                edit_list(one.deeds, dice_, [&] { return deed(dossier, span_s); });
            }
            break;
        case 0:
            edit_list(dossier.claims, dice_, [&] { return claim(); });
            break;
        case 1:
            edit_list(dossier.readings, dice_, [&] { return reading(dossier); });
            break;
        case 2:
            edit_list(dossier.waveforms, dice_, [&] { return waveform(dossier); });
            break;
        case 3:
            edit_list(dossier.photos, dice_, [&] { return photo(); });
            break;
        case 4:
            edit_list(dossier.continuity, dice_, [&] { return beep(dossier); });
            break;
        default:
            if (dossier.nets.size() > 1) {
                std::swap(dossier.nets.front(), dossier.nets.back());
            }
            break;
    }
}

void Generator::edit_rest(Dossier& dossier) {
    switch (dice_.below(9)) {
        case 7:
            dossier.drawing = wishes(dossier);
            break;
        case 8:
            if (!dossier.drawing.parts.empty()) {
                dossier.drawing.parts.begin()->second.turn = Placed<int>{270, {}};
            }
            break;
        case 6:
            dossier.board = dice_.chance(70) ? board(dossier) : Board{};
            break;
        case 0:
            dossier.item = item();
            break;
        case 1:
            dossier.supply = dice_.chance(70) ? supply() : Supply{};
            break;
        case 2:
            dossier.nets.clear();
            add_nets(dossier);
            break;
        case 3:
            dossier.item.story = text(long_words());
            break;
        case 4:
            if (!dossier.nets.empty()) {
                dossier.nets.back() = net_note(dossier.nets.back().name);
            }
            break;
        default:
            if (dossier.reference) {
                dossier.reference.reset();
            } else {
                dossier.reference = Reference{text(words(true)), text("a book"), {}};
                dossier.reference->parts.push_back(part("R1"));
            }
            break;
    }
}

Dossier Generator::edited(Dossier dossier) {
    for (std::size_t i = 1 + dice_.below(4); i > 0; --i) {
        switch (dice_.below(3)) {
            case 0:
                edit_parts(dossier);
                break;
            case 1:
                edit_lists(dossier);
                break;
            default:
                edit_rest(dossier);
                break;
        }
    }
    drop_dangling(dossier);
    return dossier;
}

void drop_dangling(Dossier& dossier) {
    const auto is_gone = [&](const Text& net) { return !is_net_of(dossier, net.value); };
    std::erase_if(dossier.nets,
                  [&](const NetNote& note) { return !is_net_of(dossier, note.name); });
    std::set<std::string> all_names;
    for (const NetNote& note : dossier.nets) {
        all_names.insert(note.name);
    }
    for (NetNote& note : dossier.nets) {
        std::erase_if(note.also,
                      [&](const Text& also) { return !all_names.insert(also.value).second; });
    }
    for (Reading& reading : dossier.readings) {
        if (std::ranges::any_of(reading.between, is_gone)) {
            reading.between.clear();
        }
    }
    for (Waveform& waveform : dossier.waveforms) {
        if (std::ranges::any_of(waveform.between, is_gone)) {
            waveform.between.clear();
        }
        if (dossier.part(waveform.through.value) == nullptr) {
            waveform.through = {};
        }
    }
    for (Scenario& scenario : dossier.scenarios) {
        std::erase_if(scenario.deeds, [&](const Deed& deed) {
            return !deed.load.value.empty() && dossier.part(deed.load.value) == nullptr;
        });
    }
    const auto is_drawn = [&](const std::string& name) {
        const Part* part = dossier.part(name);
        return part != nullptr && part->fitted;
    };
    DrawingWishes& drawing = dossier.drawing;
    std::erase_if(drawing.parts, [&](const auto& one) { return !is_drawn(one.first); });
    for (auto& [name, wish] : drawing.parts) {
        for (Text* other : {&wish.from, &wish.right_of, &wish.left_of, &wish.above, &wish.below}) {
            if (!other->value.empty() && !is_drawn(other->value)) {
                *other = {};
                wish.by = other == &wish.from ? std::nullopt : wish.by;
            }
        }
    }
    for (std::vector<Text>& group : drawing.together) {
        std::erase_if(group, [&](const Text& name) { return !is_drawn(name.value); });
    }
    std::erase_if(drawing.together,
                  [](const std::vector<Text>& group) { return group.size() < 2; });
    const auto is_no_photo = [&](const Text& name) {
        const auto found =
            std::ranges::find_if(dossier.photos, [&](const Photo& p) { return p.file == name; });
        return found == dossier.photos.end() ||
               (found->side.value != "top" && found->side.value != "bottom");
    };
    for (Part& part : dossier.parts) {
        if (!part.pads_on.value.empty() && (part.pads.empty() || is_no_photo(part.pads_on))) {
            part.pads_on = {};
        }
    }
    std::erase_if(dossier.board.lengths,
                  [&](const KnownLength& length) { return is_no_photo(length.photo); });
    std::erase_if(dossier.strokes, [&](const Stroke& one) { return is_no_photo(one.photo); });
    std::erase_if(dossier.continuity, [&](const Continuity& beep) {
        return beep.between.empty() || std::ranges::any_of(beep.between, [&](const Text& end) {
                   return is_gone(end) &&
                          std::ranges::none_of(dossier.parts, [&](const Part& part) {
                              return std::ranges::any_of(part.pins, [&](const PinUse& use) {
                                  return part.name + "." + use.pin == end.value;
                              });
                          });
               });
    });
}

}  // namespace etchback::dossier
