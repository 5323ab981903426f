#include "parts/catalogue.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <tuple>

#include "base/text.h"
#include "parts/detail/folded.h"

namespace etchback::parts {
namespace {

bool is_called(const Body& body, const std::string& name) {
    const auto same = [&](const std::string& word) { return folded_body(word) == name; };
    return same(body.id) || std::any_of(body.aliases.begin(), body.aliases.end(), same);
}

// The length in `axial6.3mm`, a folded body name.
std::optional<double> axial_length_mm(std::string_view name) {
    constexpr std::string_view axial = "axial";
    if (!name.starts_with(axial)) {
        return std::nullopt;
    }
    name.remove_prefix(axial.size());
    double length = 0.0;
    const auto read = std::from_chars(name.data(), name.data() + name.size(), length);
    const std::string_view rest = name.substr(static_cast<std::size_t>(read.ptr - name.data()));
    const bool good = read.ec == std::errc() && (rest.empty() || rest == "mm");
    return good && length > 0 && length < 1000 ? std::optional(length) : std::nullopt;
}

double misfit(const Body& body, double length_mm) {
    return std::fabs(body.length_mm - length_mm) / length_mm;
}

}  // namespace

Catalogue::Catalogue(std::vector<Kind> kinds,
                     std::vector<Body> bodies,
                     std::vector<PinName> pin_names)
    : kinds_(std::move(kinds)), bodies_(std::move(bodies)), pin_names_(std::move(pin_names)) {
    std::stable_sort(
        kinds_.begin(), kinds_.end(), [](const Kind& a, const Kind& b) { return a.id < b.id; });
    std::stable_sort(bodies_.begin(), bodies_.end(), [](const Body& a, const Body& b) {
        return std::tie(a.family, a.id) < std::tie(b.family, b.id);
    });
    for (std::size_t i = 0; i < kinds_.size(); ++i) {
        by_word_.emplace(folded(kinds_[i].id), i);
        by_word_.emplace(folded(kinds_[i].title), i);
        for (const std::string& alias : kinds_[i].aliases) {
            by_word_.emplace(folded(alias), i);
        }
    }
}

const Kind* Catalogue::find(std::string_view kind) const {
    const auto found = by_word_.find(folded(kind));
    return found == by_word_.end() ? nullptr : &kinds_[found->second];
}

std::optional<std::string> Catalogue::suggestion(std::string_view kind) const {
    std::vector<std::string> words;
    for (const auto& [word, index] : by_word_) {
        words.push_back(word);
    }
    const auto near = base::nearest_word(folded(kind), words);
    return near ? std::optional(kinds_[by_word_.at(*near)].title) : std::nullopt;
}

const Body* Catalogue::body(std::string_view id, std::string_view family) const {
    const std::string name = folded_body(id);
    if (name.empty()) {
        return nullptr;
    }
    const auto length = axial_length_mm(name);
    const Body* for_all = nullptr;
    const Body* nearest = nullptr;
    for (const Body& row : bodies_) {
        if (row.family == family && is_called(row, name)) {
            return &row;
        }
        if (row.family.empty() && is_called(row, name)) {
            for_all = &row;
        }
        const bool axial = length && row.family == family && row.id.starts_with("axial");
        if (axial && (nearest == nullptr || misfit(row, *length) < misfit(*nearest, *length))) {
            nearest = &row;
        }
    }
    const bool fits = nearest != nullptr && misfit(*nearest, *length) <= 0.15;
    return fits ? nearest : for_all;
}

PinRole Catalogue::usual_role(std::string_view pin_name) const {
    std::string name = folded(pin_name);
    const auto role_of = [&]() -> std::optional<PinRole> {
        const auto found = std::find_if(pin_names_.begin(), pin_names_.end(), [&](const auto& p) {
            return folded(p.name) == name;
        });
        return found == pin_names_.end() ? std::nullopt : std::optional(found->role);
    };
    if (const auto role = role_of()) {
        return *role;
    }
    while (name.size() > 1 && name.back() >= '0' && name.back() <= '9') {
        name.pop_back();
    }
    return role_of().value_or(PinRole::passive);
}

}  // namespace etchback::parts
