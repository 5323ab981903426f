// Circuits edited at random: what is listed costs no more than the edits that were made.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <set>

#include "blocks/compare_stage.h"

namespace etchback::blocks {
namespace {

using test::PartList;

// What edits cost by the cost model in compare.h.
class Editor {
public:
    Editor(PartList parts, std::mt19937& random) : parts_(std::move(parts)), random_(random) {}

    void edit_once() {
        while (!try_edit()) {
        }
    }
    const PartList& parts() const { return parts_; }
    double cost() const { return cost_; }
    const std::string& story() const { return story_; }

private:
    PartList parts_;
    std::mt19937& random_;
    double cost_ = 0.0;
    std::string story_;
    std::set<std::string> touched_;  // a part is edited once, so that costs add up

    std::size_t pick(std::size_t n) { return random_() % n; }
    void note(const std::string& what, double cost) {
        story_ += what + "; ";
        cost_ += cost;
    }

    std::string any_net() {
        const dossier::Part& part = parts_[pick(parts_.size())];
        return part.pins.empty() ? "new" : part.pins[pick(part.pins.size())].net;
    }

    bool try_edit() {
        switch (pick(6)) {
            case 0:
                return remove();
            case 1:
                return add();
            case 2:
                return change_value();
            case 3:
                return change_kind();
            case 4:
                return move_pin();
            default:
                return swap_winding();
        }
    }

    bool remove() {
        if (parts_.size() < 4) {
            return false;
        }
        const std::size_t i = pick(parts_.size());
        if (touched_.count(parts_[i].name) != 0) {
            return false;
        }
        note("remove " + parts_[i].name, 1.0);
        parts_.erase(parts_.begin() + static_cast<std::ptrdiff_t>(i));
        return true;
    }
    bool add() {
        static const char* kinds[] = {"resistor", "ceramic capacitor", "diode"};
        dossier::Part part;
        part.name = "NEW" + std::to_string(parts_.size()) + "_" + std::to_string(random_() % 1000);
        const std::size_t kind = pick(3);
        part.kind.value = kinds[kind];
        if (kind < 2) {
            const base::Unit unit = kind == 0 ? base::Unit::ohm : base::Unit::farad;
            const double value = (kind == 0 ? 1.0 : 1e-12) *
                                 std::pow(10.0, 1.0 + 0.1 * static_cast<double>(pick(50)));
            part.value.emplace().value = base::Quantity::of(value, unit);
        }
        const std::string a = any_net();
        const std::string b = any_net();
        if (a == b) {
            return false;
        }
        const char* first = kind == 2 ? "anode" : "1";
        const char* second = kind == 2 ? "cathode" : "2";
        part.pins.push_back({first, a, {}});
        part.pins.push_back({second, b, {}});
        note("add " + part.name + " " + part.kind.value, 1.0);
        touched_.insert(part.name);
        parts_.push_back(std::move(part));
        return true;
    }
    bool change_value() {
        dossier::Part& part = parts_[pick(parts_.size())];
        if (!part.value || !touched_.insert(part.name).second) {
            return false;
        }
        const double factor =
            std::pow(10.0, (pick(2) == 0 ? 1 : -1) * (0.1 + 0.13 * static_cast<double>(pick(10))));
        part.value->value =
            base::Quantity::of(part.value->value.value * factor, part.value->value.unit);
        note("value of " + part.name, 1.0);
        return true;
    }
    bool change_kind() {
        static const std::map<std::string, std::string> to = {
            {"resistor", "fusible resistor"},
            {"ceramic capacitor", "film capacitor"},
            {"electrolytic capacitor", "tantalum capacitor"},
            {"diode", "Schottky diode"},
            {"Zener diode", "diode"},
            {"NPN transistor", "PNP transistor"},
            {"N-channel MOSFET", "P-channel MOSFET"},
            {"film capacitor", "ceramic capacitor"}};
        dossier::Part& part = parts_[pick(parts_.size())];
        const parts::Kind* kind = test::catalogue().find(part.kind.value);
        const auto it = kind == nullptr ? to.end() : to.find(kind->title);
        if (it == to.end() || !touched_.insert(part.name).second) {
            return false;
        }
        part.kind.value = it->second;
        note("kind of " + part.name, 1.0);
        return true;
    }
    bool move_pin() {
        dossier::Part& part = parts_[pick(parts_.size())];
        if (part.pins.size() < 2 || !touched_.insert(part.name).second) {
            return false;
        }
        auto& pin = part.pins[pick(part.pins.size())];
        const std::string net = pick(4) == 0 ? "new net " + std::to_string(random_()) : any_net();
        note("move " + part.name + "." + pin.pin, net == pin.net ? 0.0 : 1.0);
        pin.net = net;
        return true;
    }
    bool swap_winding() {
        for (dossier::Part& part : parts_) {
            if (part.windings.size() < 2 || !touched_.insert(part.name).second) {
                continue;
            }
            auto& winding = part.windings[pick(part.windings.size())];
            std::reverse(winding.pins.begin(), winding.pins.end());
            note("winding of " + part.name, 1.0);
            return true;
        }
        return false;
    }
};

int cases() {
    const char* wanted = std::getenv("ETCHBACK_COMPARE_CASES");
    return wanted == nullptr ? 150 : std::atoi(wanted);
}

TEST(CompareEdits, ListsNoMoreThanWasEdited) {
    std::mt19937 random(20261127);
    int good = 0;
    std::string bad;
    const int n = cases();
    for (int i = 0; i < n; ++i) {
        const auto& all = test::circuits_to_edit();
        const PartList& original = all[static_cast<std::size_t>(i) % all.size()];
        Editor editor(original, random);
        const unsigned edits = 1 + random() % 8;
        for (unsigned e = 0; e < edits; ++e) {
            editor.edit_once();
        }
        const auto found = test::built(test::shuffled(editor.parts(), random));
        const auto reference = test::built(original);
        const Comparison comparison = compare(found, reference);
        EXPECT_LE(comparison.at_least, editor.cost() + 1e-9)
            << "the lower bound is above what was edited: " << editor.story();
        if (comparison.cost <= editor.cost() + 1e-9) {
            ++good;
        } else {
            bad += "case " + std::to_string(i) + ": edits " + std::to_string(editor.cost()) +
                   ", listed " + std::to_string(comparison.cost) + ": " + editor.story() + "\n";
            for (const Difference& difference : comparison.differences) {
                bad +=
                    "    " + std::string(name_of(difference.kind)) + ": " + difference.words + "\n";
            }
        }
    }
    RecordProperty("good", good);
    EXPECT_GE(good, std::ceil(0.99 * n)) << bad;
}

// Kinds and costs, and the sets of part kinds and values: what no renaming may change.
std::multiset<std::string> digest(const Comparison& comparison,
                                  const circuit::Circuit& found,
                                  const circuit::Circuit& reference) {
    std::multiset<std::string> out;
    for (const Difference& difference : comparison.differences) {
        std::multiset<std::string> parts;
        const auto put = [&](const circuit::Part& part) {
            parts.insert(part.kind.id + " " + std::to_string(part.value().value_or(0.0) * 1e12));
        };
        for (const circuit::PartId id : difference.found) {
            put(found[id]);
        }
        for (const circuit::PartId id : difference.reference) {
            put(reference[id]);
        }
        std::string line =
            std::string(name_of(difference.kind)) + " " + std::to_string(difference.cost);
        for (const std::string& part : parts) {
            line += ", " + part;
        }
        out.insert(line);
    }
    return out;
}

TEST(CompareEdits, NamesAndOrderHaveNoSay) {
    const dossier::Dossier dossier = test::example("seedling-driver");
    const PartList board = test::fitted(dossier.parts);
    std::mt19937 random(7);
    std::optional<std::multiset<std::string>> first;
    for (int i = 0; i < 20; ++i) {
        const auto found = test::built(i == 0 ? board : test::shuffled(board, random));
        const auto reference = test::built(
            i == 0 ? dossier.reference->parts : test::shuffled(dossier.reference->parts, random));
        const auto now = digest(compare(found, reference), found, reference);
        if (!first) {
            first = now;
        }
        EXPECT_EQ(now, *first) << "shuffle " << i;
    }
}

}  // namespace
}  // namespace etchback::blocks
