#include "dossier/detail/calendar.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <string>

namespace etchback::dossier::detail {

namespace {

unsigned number_in(std::string_view digits) {
    unsigned number = 0;
    std::from_chars(digits.data(), digits.data() + digits.size(), number);
    return number;
}

}  // namespace

bool is_day(std::string_view text) {
    constexpr std::string_view pattern = "dddd-dd-dd";
    const bool has_form = std::ranges::equal(
        text, pattern, [](char c, char p) { return p == 'd' ? c >= '0' && c <= '9' : c == p; });
    if (!has_form) {
        return false;
    }
    const std::chrono::year_month_day day{
        std::chrono::year(static_cast<int>(number_in(text.substr(0, 4)))),
        std::chrono::month(number_in(text.substr(5, 2))),
        std::chrono::day(number_in(text.substr(8, 2)))};
    return day.ok();
}

bool is_date(std::string_view text) {
    constexpr std::string_view first_day = "0000-01-01";
    const bool is_part = text.size() == 4 || text.size() == 7;
    return is_part ? is_day(std::string(text) + std::string(first_day.substr(text.size())))
                   : is_day(text);
}

}  // namespace etchback::dossier::detail
