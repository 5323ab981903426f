// Spellings of the enumerations of a layout, in the order of their values.
#pragma once

#include <array>
#include <span>
#include <string>

namespace etchback::photographer {

inline const std::array<std::string, 2> side_words = {"top", "bottom"};
inline const std::array<std::string, 6> mask_words = {
    "none", "green", "blue", "red", "white", "black"};
inline const std::array<std::string, 2> laminate_words = {"FR-4", "paper"};
inline const std::array<std::string, 3> finish_words = {"tin", "copper", "gold"};
inline const std::array<std::string, 3> pad_shape_words = {"round", "rect", "oval"};

}  // namespace etchback::photographer
