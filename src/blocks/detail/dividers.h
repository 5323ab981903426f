// Two resistances in series with a tap between, and words for what rests on resistors.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "blocks/detail/output_limits.h"
#include "circuit/circuit.h"

namespace etchback::blocks::detail {

struct Divider {
    double upper_ohm = 0.0, lower_ohm = 0.0;
    double tolerance = 0.0;
    std::vector<circuit::PartId> parts;
};

// Between the nets of `top` and `bottom` with its tap at `tap`; each half may be several resistors.
std::optional<Divider> divider(const circuit::Circuit& circuit,
                               const std::vector<circuit::NetId>& top,
                               circuit::NetId tap,
                               const std::vector<circuit::NetId>& bottom);

// As stated, or 5 % where a part states none (common practice). A share, not percent.
double tolerance_of(const circuit::Part& part);

void rest_on(Reasoned& reasoned,
             const circuit::Circuit& circuit,
             const std::vector<circuit::PartId>& parts);

std::string ohms(double r);
std::string number(double n);

}  // namespace etchback::blocks::detail
