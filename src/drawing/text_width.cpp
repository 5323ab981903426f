#include <algorithm>
#include <array>
#include <cstdint>

#include "drawing/symbol.h"

namespace etchback::drawing {
namespace {

// Advance widths in 1/2048 em, read from the hmtx tables of Liberation Sans Regular and Bold,
// version 1.07.4. The font is metric-compatible with Arial and Helvetica.
constexpr double units_per_em = 2048.0;

// U+0020 to U+007E.
constexpr std::array<int, 95> ascii_regular = {
    569,  569,  727,  1139, 1139, 1821, 1366, 391,  682,  682,  797,  1196, 569,  682,  569,  569,
    1139, 1139, 1139, 1139, 1139, 1139, 1139, 1139, 1139, 1139, 569,  569,  1196, 1196, 1196, 1139,
    2079, 1366, 1366, 1479, 1479, 1366, 1251, 1593, 1479, 569,  1024, 1366, 1139, 1706, 1479, 1593,
    1366, 1593, 1479, 1366, 1251, 1479, 1366, 1933, 1366, 1366, 1251, 569,  569,  569,  961,  1139,
    682,  1139, 1139, 1024, 1139, 1139, 569,  1139, 1139, 455,  455,  1024, 455,  1706, 1139, 1139,
    1139, 1139, 682,  1024, 569,  1139, 1024, 1479, 1024, 1024, 1024, 684,  532,  684,  1196,
};
constexpr std::array<int, 95> ascii_bold = {
    569,  682,  971,  1139, 1139, 1821, 1479, 487,  682,  682,  797,  1196, 569,  682,  569,  569,
    1139, 1139, 1139, 1139, 1139, 1139, 1139, 1139, 1139, 1139, 682,  682,  1196, 1196, 1196, 1251,
    1997, 1479, 1479, 1479, 1479, 1366, 1251, 1593, 1479, 569,  1139, 1479, 1251, 1706, 1479, 1593,
    1366, 1593, 1479, 1366, 1251, 1479, 1366, 1933, 1366, 1366, 1251, 682,  569,  682,  1196, 1139,
    682,  1139, 1251, 1139, 1251, 1139, 682,  1251, 1251, 569,  569,  1139, 569,  1821, 1251, 1251,
    1251, 1251, 797,  1139, 682,  1251, 1139, 1593, 1139, 1139, 1024, 797,  573,  797,  1196,
};

// U+00A0 to U+00FF.
constexpr std::array<int, 96> latin_regular = {
    569,  682,  1139, 1139, 1139, 1139, 532,  1139, 682,  1509, 758,  1139, 1196, 682,  1509, 1131,
    819,  1124, 682,  682,  682,  1180, 1100, 569,  682,  682,  748,  1139, 1708, 1708, 1708, 1251,
    1366, 1366, 1366, 1366, 1366, 1366, 2048, 1479, 1366, 1366, 1366, 1366, 569,  569,  569,  569,
    1479, 1479, 1593, 1593, 1593, 1593, 1593, 1196, 1593, 1479, 1479, 1479, 1479, 1366, 1366, 1251,
    1139, 1139, 1139, 1139, 1139, 1139, 1821, 1024, 1139, 1139, 1139, 1139, 569,  569,  569,  569,
    1139, 1139, 1139, 1139, 1139, 1139, 1139, 1124, 1251, 1139, 1139, 1139, 1139, 1024, 1139, 1024,
};
constexpr std::array<int, 96> latin_bold = {
    569,  682,  1139, 1139, 1139, 1139, 573,  1139, 682,  1509, 758,  1139, 1196, 682,  1509, 1131,
    819,  1124, 682,  682,  682,  1180, 1139, 569,  682,  682,  748,  1139, 1708, 1708, 1708, 1251,
    1479, 1479, 1479, 1479, 1479, 1479, 2048, 1479, 1366, 1366, 1366, 1366, 569,  569,  569,  569,
    1479, 1479, 1593, 1593, 1593, 1593, 1593, 1196, 1593, 1479, 1479, 1479, 1479, 1366, 1366, 1251,
    1139, 1139, 1139, 1139, 1139, 1139, 1821, 1139, 1139, 1139, 1139, 1139, 569,  569,  569,  569,
    1251, 1251, 1251, 1251, 1251, 1251, 1251, 1124, 1251, 1251, 1251, 1251, 1251, 1139, 1251, 1139,
};

struct Rare {
    char32_t code;
    int regular, bold;
};
// Greek, punctuation and mathematical signs, by code.
constexpr Rare rare[] = {
    {0x0391, 1366, 1479}, {0x0392, 1366, 1479}, {0x0393, 1128, 1231}, {0x0394, 1368, 1472},
    {0x0395, 1366, 1366}, {0x0396, 1251, 1251}, {0x0397, 1479, 1479}, {0x0398, 1593, 1593},
    {0x0399, 569, 569},   {0x039a, 1366, 1479}, {0x039b, 1368, 1366}, {0x039c, 1706, 1706},
    {0x039d, 1479, 1479}, {0x039e, 1331, 1318}, {0x039f, 1593, 1593}, {0x03a0, 1479, 1479},
    {0x03a1, 1366, 1366}, {0x03a3, 1266, 1229}, {0x03a4, 1251, 1251}, {0x03a5, 1366, 1366},
    {0x03a6, 1634, 1681}, {0x03a7, 1366, 1366}, {0x03a8, 1711, 1657}, {0x03a9, 1531, 1642},
    {0x03b1, 1184, 1259}, {0x03b2, 1178, 1250}, {0x03b3, 1024, 1139}, {0x03b4, 1140, 1242},
    {0x03b5, 913, 972},   {0x03b6, 903, 943},   {0x03b7, 1139, 1251}, {0x03b8, 1139, 1107},
    {0x03b9, 455, 569},   {0x03ba, 1024, 1142}, {0x03bb, 1024, 1139}, {0x03bc, 1180, 1253},
    {0x03bd, 1024, 1139}, {0x03be, 917, 912},   {0x03bf, 1139, 1251}, {0x03c0, 1413, 1568},
    {0x03c1, 1165, 1267}, {0x03c2, 987, 1065},  {0x03c3, 1264, 1401}, {0x03c4, 809, 914},
    {0x03c5, 1120, 1192}, {0x03c6, 1328, 1465}, {0x03c7, 1075, 1179}, {0x03c8, 1460, 1543},
    {0x03c9, 1599, 1730}, {0x2013, 1139, 1139}, {0x2014, 2048, 2048}, {0x2018, 455, 569},
    {0x2019, 455, 569},   {0x201a, 455, 569},   {0x201c, 682, 1024},  {0x201d, 682, 1024},
    {0x201e, 682, 1024},  {0x2020, 1139, 1139}, {0x2021, 1139, 1139}, {0x2022, 717, 717},
    {0x2026, 2048, 2048}, {0x2030, 2048, 2048}, {0x2032, 384, 491},   {0x2033, 725, 981},
    {0x2044, 342, 342},   {0x20ac, 1139, 1139}, {0x2126, 1573, 1573}, {0x2190, 2048, 2048},
    {0x2191, 1024, 1024}, {0x2192, 2048, 2048}, {0x2193, 1024, 1024}, {0x2194, 2048, 2048},
    {0x2202, 1012, 1012}, {0x2206, 1253, 1253}, {0x2211, 1460, 1460}, {0x2212, 1196, 1196},
    {0x221a, 1124, 1124}, {0x221e, 1460, 1460}, {0x222b, 561, 561},   {0x2248, 1124, 1124},
    {0x2260, 1124, 1124}, {0x2264, 1124, 1124}, {0x2265, 1124, 1124},
};

// Superscript and subscript digits come from whatever font has them; none that we met makes them
// wider than a full digit. All else is taken as wide as the widest sign of the font.
constexpr int script_digit = 1139;
constexpr int unknown = 2283;

int width_of(char32_t code, bool bold) {
    if (code >= 0x20 && code <= 0x7e) {
        return (bold ? ascii_bold : ascii_regular)[code - 0x20];
    }
    if (code >= 0xa0 && code <= 0xff) {
        return (bold ? latin_bold : latin_regular)[code - 0xa0];
    }
    if (code >= 0x2070 && code <= 0x208e) {
        return script_digit;
    }
    const auto* found =
        std::lower_bound(std::begin(rare), std::end(rare), code, [](const Rare& r, char32_t c) {
            return r.code < c;
        });
    if (found != std::end(rare) && found->code == code) {
        return bold ? found->bold : found->regular;
    }
    return unknown;
}

// Takes one character off the front. A byte that is no UTF-8 counts as one unknown character.
char32_t next_code(std::string_view& text) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned lead = byte(0);
    const std::size_t length = lead < 0x80 ? 1 : lead >= 0xf0 ? 4 : lead >= 0xe0 ? 3 : 2;
    char32_t code = length == 1 ? lead : lead & (0x7fU >> length);
    bool valid = lead < 0x80 || (lead >= 0xc2 && lead <= 0xf4 && text.size() >= length);
    for (std::size_t i = 1; valid && i < length; ++i) {
        valid = (byte(i) & 0xc0U) == 0x80U;
        code = code << 6U | (byte(i) & 0x3fU);
    }
    text.remove_prefix(valid ? length : 1);
    return valid ? code : 0xfffd;
}

}  // namespace

double text_width(std::string_view utf8, double size, bool bold) {
    int sum = 0;
    while (!utf8.empty()) {
        sum += width_of(next_code(utf8), bold);
    }
    return sum * size / units_per_em;
}

Box text_box(std::string_view utf8, Point at, Word::Anchor anchor, double size, bool bold) {
    const double width = text_width(utf8, size, bold);
    const double before = anchor == Word::Anchor::start    ? 0.0
                          : anchor == Word::Anchor::middle ? width / 2
                                                           : width;
    const double left = at.x - before;
    return {left, at.y - text_ascent * size, left + width, at.y + text_descent * size};
}

}  // namespace etchback::drawing
