// Claims and readings as spans of what they can mean.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "findings/detail/kit.h"

namespace etchback::findings::detail {

struct Span {
    double low = 0.0;
    double high = 0.0;
    bool meets(const Span& other) const { return low <= other.high && other.low <= high; }
};
Span operator*(const Span& a, const Span& b);  // of positive spans

// What a printed number can mean: half a unit of its last digit either way, but no more than 5 % of
// it ("1 A" is not 0.5 A). A printed range means its ends.
Span meaning(const base::Quantity& printed);

struct ClaimedSpan {
    Span span;
    const dossier::Claim* claim = nullptr;
    bool positive() const { return span.low > 0.0; }
};
// All claims of a quantity, in the file's order; numbers only.
std::vector<ClaimedSpan> claims_of(const dossier::Dossier& dossier, std::string_view quantity);
// The span that all claims of a quantity allow together, or the first's where they do not agree.
std::optional<ClaimedSpan> claimed(const dossier::Dossier& dossier, std::string_view quantity);

// Half-width (k = 2) of a reading; where it states none, 3 % is assumed and `assumed` set.
double half_width(const dossier::Reading& reading, bool& assumed);

base::Evidence evidence_of(const dossier::Claim& claim);
base::Evidence evidence_of(const dossier::Reading& reading);

}  // namespace etchback::findings::detail
