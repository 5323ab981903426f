// What [drawing] says of parts: that there are such parts, and that all of it can be had at once.
#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "dossier/detail/reading.h"

namespace etchback::dossier::detail {

namespace {

using Steps = std::pair<int, int>;

// Which part comes before which, from left to right or from top to bottom.
class Order {
public:
    void add(const std::string& first, const std::string& then) { after_[first].insert(then); }

    bool comes_before(const std::string& first, const std::string& then) const {
        std::set<std::string> seen = {first};
        std::vector<std::string> ahead = {first};
        while (!ahead.empty()) {
            const std::string at = ahead.back();
            ahead.pop_back();
            if (at == then) {
                return true;
            }
            const auto found = after_.find(at);
            for (const std::string& next :
                 found == after_.end() ? std::set<std::string>{} : found->second) {
                if (seen.insert(next).second) {
                    ahead.push_back(next);
                }
            }
        }
        return false;
    }

private:
    std::map<std::string, std::set<std::string>> after_;
};

// A part that stands exactly so far from the part `root`, or on the sheet where that is empty.
struct Fixed {
    std::string root;
    Steps steps;
};

bool is_fixed(const PartWish& wish) {
    return wish.at || (wish.by && !wish.from.value.empty());
}

class Wishes {
public:
    Wishes(const Dossier& dossier, const Context& context)
        : dossier_(dossier), wishes_(dossier.drawing.parts), context_(context) {
        for (const Part& part : dossier.parts) {
            names_.push_back(part.name);
        }
    }

    void check() {
        for (const auto& [name, wish] : wishes_) {
            const std::string where = "drawing, part " + in_quotes(name);
            check_part({name, wish.place}, "drawing");
            for (const Text* other :
                 {&wish.from, &wish.right_of, &wish.left_of, &wish.above, &wish.below}) {
                check_other(name, *other, where);
            }
        }
        check_groups();
        if (chains_end()) {
            check_places();
            check_order();
        }
    }

private:
    void check_part(const Text& name, const std::string& where) const {
        const Part* part = dossier_.part(name.value);
        if (part == nullptr) {
            const std::string guess = did_you_mean(name.value, names_);
            context_.complain(name.place,
                              fmt::format("{}: there is no part {}", where, in_quotes(name.value)),
                              guess.empty() ? "write the name of a part as in [parts]" : guess);
        } else if (!part->fitted) {
            context_.complain(
                name.place,
                fmt::format("{}: part {} is not fitted, so it is not drawn", where, name.value),
                "take it out");
        }
    }

    void check_other(const std::string& name, const Text& other, const std::string& where) const {
        if (other.place.line == 0 && other.value.empty()) {
            return;
        }
        check_part(other, where);
        if (other.value == name) {
            context_.complain(other.place,
                              fmt::format("{}: it cannot be told by itself where it stands", where),
                              "write the name of another part");
        }
    }

    void check_groups() const {
        std::set<std::string> seen;
        for (const std::vector<Text>& group : dossier_.drawing.together) {
            for (const Text& name : group) {
                check_part(name, "drawing, together");
                if (!seen.insert(name.value).second) {
                    context_.complain(
                        name.place,
                        fmt::format("drawing: part {} stands in together twice",
                                    in_quotes(name.value)),
                        "name each part once; groups that share a part are one group");
                }
            }
        }
    }

    // Follows `from` to the end of the chain; null where it runs in a circle.
    std::optional<Fixed> fixed(const std::string& name) const {
        Fixed place{name, {0, 0}};
        for (std::size_t steps = 0; steps <= wishes_.size(); ++steps) {
            const auto wish = wishes_.find(place.root);
            if (wish == wishes_.end() || !is_fixed(wish->second)) {
                return place;
            }
            const Steps& by = wish->second.at ? wish->second.at->value : wish->second.by->value;
            place.steps.first += by.first;
            place.steps.second += by.second;
            if (wish->second.at) {
                return Fixed{"", place.steps};
            }
            place.root = wish->second.from.value;
        }
        return std::nullopt;
    }

    bool chains_end() const {
        for (const auto& [name, wish] : wishes_) {
            if (!fixed(name)) {
                context_.complain(
                    wish.from.place,
                    fmt::format("drawing: the place of part {} leads back to itself through from",
                                name),
                    "give one of these parts no place, or a place on the sheet: at = [40, 30]");
                return false;
            }
        }
        return true;
    }

    // All parts with an exact place against others, and the parts that they start from.
    std::map<std::string, Fixed> all_fixed() const {
        std::map<std::string, Fixed> all;
        for (const auto& [name, wish] : wishes_) {
            if (is_fixed(wish)) {
                const Fixed place = *fixed(name);
                all.emplace(name, place);
                if (!place.root.empty()) {
                    all.emplace(place.root, Fixed{place.root, {0, 0}});
                }
            }
        }
        return all;
    }

    void check_places() const {
        std::map<std::pair<std::string, Steps>, std::string> taken;
        for (const auto& [name, place] : all_fixed()) {
            const auto [other, is_free] = taken.emplace(std::pair{place.root, place.steps}, name);
            if (!is_free) {
                const std::string& moved = place.root == name ? other->second : name;
                context_.complain(
                    said_at(moved),
                    fmt::format("drawing: parts {} and {} stand on one place", other->second, name),
                    "move one of them, or leave its place out");
            }
        }
    }

    Place said_at(const std::string& name) const {
        const PartWish& wish = wishes_.at(name);
        return wish.at ? wish.at->place : wish.by ? wish.by->place : wish.place;
    }

    // "right_of = X" and the like against each other and against exact places.
    void check_order() const {
        Order across;
        Order down;
        const auto places = all_fixed();
        for (const auto& [name, place] : places) {
            for (const auto& [other, there] : places) {
                if (place.root == there.root && place.steps.first < there.steps.first) {
                    across.add(name, other);
                }
                if (place.root == there.root && place.steps.second < there.steps.second) {
                    down.add(name, other);
                }
            }
        }
        for (const auto& [name, wish] : wishes_) {
            add(across, wish.right_of.value, name, wish.right_of, name, "to the right of");
            add(across, name, wish.left_of.value, wish.left_of, name, "to the left of");
            add(down, name, wish.above.value, wish.above, name, "above");
            add(down, wish.below.value, name, wish.below, name, "below");
        }
    }

    void add(Order& order,
             const std::string& first,
             const std::string& then,
             const Text& other,
             const std::string& name,
             std::string_view words) const {
        if (other.value.empty() || first == then) {
            return;
        }
        if (order.comes_before(then, first)) {
            context_.complain(
                other.place,
                fmt::format("drawing: part {} cannot stand {} {}, since other words of [drawing] "
                            "say the opposite",
                            name,
                            words,
                            other.value),
                "take one of them out");
            return;
        }
        order.add(first, then);
    }

    const Dossier& dossier_;
    const std::map<std::string, PartWish>& wishes_;
    const Context& context_;
    std::vector<std::string> names_;
};

}  // namespace

void check_drawing(const Dossier& dossier, const Context& context) {
    Wishes(dossier, context).check();
}

}  // namespace etchback::dossier::detail
