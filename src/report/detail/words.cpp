#include "report/detail/words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace etchback::report::detail {
namespace {

bool plain(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
}

// Significant digits of `value` down to the second digit of its uncertainty.
int digits_for(double value, double expanded) {
    if (!(expanded > 0.0) || value == 0.0) {
        return 3;
    }
    const double decades =
        std::floor(std::log10(std::abs(value))) - std::floor(std::log10(expanded));
    return static_cast<int>(std::clamp(decades + 2.0, 2.0, 7.0));
}

}  // namespace

std::string text_of(const std::optional<dossier::Amount>& amount) {
    return amount ? base::to_text(amount->value) : "";
}

std::string text_of(const dossier::Claim& claim) {
    static constexpr const char* roman[] = {"0", "I", "II", "III"};
    const double value = claim.value.value.value;
    if (claim.quantity.value == "protection class" && value >= 0.0 && value < std::size(roman)) {
        return roman[static_cast<std::size_t>(value)];
    }
    return base::to_text(claim.value.value);
}

std::string with_uncertainty(double value, double standard_uncertainty, base::Unit unit) {
    const double expanded = 2.0 * standard_uncertainty;
    if (!(expanded > 0.0) || value == 0.0) {
        return base::to_engineering(value, unit);
    }
    const std::string shown = base::to_engineering(
        value, unit, {.digits = digits_for(value, expanded), .keep_zeros = true});
    // The uncertainty takes prefix and decimals of the value, so that the eye can compare them.
    std::size_t end = 0;
    const double number = std::stod(shown, &end);
    const std::size_t point = shown.substr(0, end).find('.');
    const std::size_t decimals = point == std::string::npos ? 0 : end - point - 1;
    const double scale = std::pow(10.0, std::round(std::log10(std::abs(value / number))));
    return fmt::format("{} ± {:.{}f}{}", shown, expanded / scale, decimals, shown.substr(end));
}

std::string text_of(const std::optional<bench::Estimate>& estimate, base::Unit unit) {
    return estimate ? with_uncertainty(estimate->value, estimate->u, unit) : "";
}

std::string text_of(const base::Place& place) {
    std::string text = std::filesystem::path(place.file).filename().string();
    if (place.line > 0) {
        text += fmt::format("{}line {}", text.empty() ? "" : ", ", place.line);
    }
    return text;
}

std::string anchor(std::string_view prefix, std::string_view name) {
    std::string id(prefix);
    id += '-';
    for (const char c : name) {
        if (plain(c)) {
            id += c;
        } else {
            id += fmt::format("_{:02x}", static_cast<unsigned char>(c));
        }
    }
    return id;
}

Link part_link(const std::string& name) {
    return {.text = name, .part = name, .net = "", .anchor = anchor("part", name)};
}

Link words(std::string text) {
    return {.text = std::move(text), .part = "", .net = "", .anchor = ""};
}

std::string text_of(const Sentence& sentence) {
    std::string text;
    for (const Link& link : sentence) {
        text += link.text;
    }
    return text;
}

Link net_link(const std::string& name) {
    return {.text = name, .part = "", .net = name, .anchor = anchor("net", name)};
}

std::vector<Link> part_links(const std::vector<std::string>& names) {
    std::vector<Link> links;
    std::transform(names.begin(), names.end(), std::back_inserter(links), part_link);
    return links;
}

std::vector<Link> net_links(const std::vector<std::string>& names) {
    std::vector<Link> links;
    std::transform(names.begin(), names.end(), std::back_inserter(links), net_link);
    return links;
}

EvidenceView view_of(const base::Evidence& evidence) {
    using Kind = base::Evidence::Kind;
    EvidenceView view{.kind = std::string(base::name_of(evidence.kind)),
                      .what = {.text = evidence.name, .part = "", .net = "", .anchor = ""},
                      .detail = evidence.detail,
                      .place = text_of(evidence.place)};
    switch (evidence.kind) {
        case Kind::part:
            view.what = part_link(evidence.name);
            break;
        case Kind::net:
            view.what = net_link(evidence.name);
            break;
        case Kind::figure:
            view.what.anchor = anchor("figure", evidence.name);
            break;
        case Kind::reading:
            view.what.anchor = "readings";
            break;
        case Kind::claim:
            view.what.anchor = "claims";
            break;
        case Kind::supply:
            view.what.anchor = "glance";
            break;
        case Kind::continuity:
            view.what.anchor = "continuity";
            break;
        case Kind::reference:
        case Kind::assumption:
            view.what.anchor = "sureness";
            break;
    }
    if (evidence.name.starts_with(view.kind)) {
        view.kind.clear();  // "supply voltage", not "supply supply voltage"
    }
    return view;
}

std::string counted(std::size_t number, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", number, number == 1 ? one : many);
}

std::string spelled(std::string key) {
    std::replace(key.begin(), key.end(), '_', ' ');
    return key;
}

std::string alternative_text(const dossier::Alternative& other) {
    std::string text = spelled(other.field) + " may be " + other.reading.value;
    if (!other.because.value.empty()) {
        text += ": " + other.because.value;
    }
    if (other.weight > 0.0) {
        text += fmt::format(" (likelihood {:.0f} %)", other.weight * 100.0);
    }
    return text;
}

std::string first_upper(std::string text) {
    if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') {
        text[0] = static_cast<char>(text[0] - 'a' + 'A');
    }
    return text;
}

}  // namespace etchback::report::detail
