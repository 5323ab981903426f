#include "board-photographer/detail/stroke_font.h"

#include <array>
#include <cmath>
#include <numbers>

namespace etchback::photographer {
namespace {

// On a grid of 4 by 6: pairs of digits are x and y from the upper left; a blank lifts the pen.
struct Glyph {
    char letter;
    std::string_view strokes;
};
constexpr std::array glyphs = {
    Glyph{'A', "062046 1434"},
    Glyph{'B', "06003041423303 3344453606"},
    Glyph{'C', "4130100105163645"},
    Glyph{'D', "06002042442606"},
    Glyph{'E', "40000646 0333"},
    Glyph{'F', "400006 0333"},
    Glyph{'G', "41301001051636454323"},
    Glyph{'H', "0006 4046 0343"},
    Glyph{'I', "2026 1030 1636"},
    Glyph{'J', "4045361605"},
    Glyph{'K', "0006 4003 0346"},
    Glyph{'L', "000646"},
    Glyph{'M', "0600234046"},
    Glyph{'N', "06004640"},
    Glyph{'O', "103041453616050110"},
    Glyph{'P', "06003041423303"},
    Glyph{'Q', "103041453616050110 2446"},
    Glyph{'R', "06003041423303 2346"},
    Glyph{'S', "413010010213334445361605"},
    Glyph{'T', "0040 2026"},
    Glyph{'U', "000516364540"},
    Glyph{'V', "002640"},
    Glyph{'W', "0016233640"},
    Glyph{'X', "0046 4006"},
    Glyph{'Y', "002340 2326"},
    Glyph{'Z', "00400646"},
    Glyph{'0', "103041453616050110 1432"},
    Glyph{'1', "112026 1636"},
    Glyph{'2', "01103041420646"},
    Glyph{'3', "004023334445361605"},
    Glyph{'4', "36300444"},
    Glyph{'5', "400003334445361605"},
    Glyph{'6', "4130100105163645443303"},
    Glyph{'7', "004016"},
    Glyph{'8', "103041423313020110 133344453616050413"},
    Glyph{'9', "0516364541301001021343"},
    Glyph{'+', "2125 0343"},
    Glyph{'-', "0343"},
    Glyph{'.', "2526"},
    Glyph{'/', "4006"},
    Glyph{'~', "04132443"},
    Glyph{':', "2122 2425"},
};

constexpr double advance = 5.6;

std::string_view strokes_for(char c) {
    const char upper = c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    for (const Glyph& glyph : glyphs) {
        if (glyph.letter == upper) {
            return glyph.strokes;
        }
    }
    return {};
}

// Bytes of longer characters (µ, Ω) beyond the first take no room.
bool continues(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

int letters(std::string_view text) {
    int count = 0;
    for (const char c : text) {
        count += continues(c) ? 0 : 1;
    }
    return count;
}

}  // namespace

double text_width(std::string_view text, double height_mm) {
    return (letters(text) * advance - (advance - 4.0)) * height_mm / 6.0;
}

std::vector<Polyline> strokes_of(
    std::string_view text, Point middle, double height_mm, double turn_deg, bool mirrored) {
    const double scale = height_mm / 6.0;
    const double c = std::cos(-turn_deg * std::numbers::pi / 180.0);
    const double s = std::sin(-turn_deg * std::numbers::pi / 180.0);
    const double left = -text_width(text, 6.0) / 2.0;
    std::vector<Polyline> lines;
    int column = 0;
    for (const char letter : text) {
        if (continues(letter)) {
            continue;
        }
        Polyline line;
        const std::string_view strokes = strokes_for(letter);
        for (std::size_t i = 0; i <= strokes.size();) {
            if (i == strokes.size() || strokes[i] == ' ') {
                if (!line.empty()) {
                    lines.push_back(std::move(line));
                }
                line.clear();
                ++i;
                continue;
            }
            double x = (left + column * advance + (strokes[i] - '0')) * scale;
            const double y = (strokes[i + 1] - '0' - 3.0) * scale;
            x = mirrored ? -x : x;
            line.push_back({middle.x_mm + c * x - s * y, middle.y_mm + s * x + c * y});
            i += 2;
        }
        ++column;
    }
    return lines;
}

}  // namespace etchback::photographer
