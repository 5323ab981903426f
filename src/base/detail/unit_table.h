// How each unit is spelled, in and out, and which prefixes go with it.
#pragma once

#include <span>
#include <string_view>

#include "base/quantity.h"

namespace etchback::base {

struct UnitRow {
    Unit unit = Unit::none;
    std::string_view name;
    std::string_view symbol;    // UTF-8, for people
    std::string_view exact;     // spellings in ASCII (see plain_text.h) whose letters' case counts
    std::string_view any_case;  // more spellings, in small letters, whose case does not
    std::string_view prefixes;  // those in use with this unit, "pnumkMGT"; others are mistakes
    std::string_view example;   // for messages
};

std::span<const UnitRow> unit_rows();
const UnitRow& row_of(Unit unit);

// Power of ten of a prefix letter; nothing for letters that are none.
std::optional<int> exponent_of(char prefix);
// 'K' for 'k', 'U' for 'u', 'N' and 'P' alike: written, not meant otherwise.
char usual_case(char prefix);
std::string_view word_of(char prefix);  // "mega"

}  // namespace etchback::base
