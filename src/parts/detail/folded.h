// Spellings that a person means alike, brought to one.
#pragma once

#include <string>
#include <string_view>

namespace etchback::parts {

// Small letters without spaces, hyphens and underscores: "N-channel MOSFET" is "nchannelmosfet".
std::string folded(std::string_view word);

// The same of a body's name, also without the words that add nothing to a size: "SMD 1206",
// "R1206" and "1206 chip" are "1206".
std::string folded_body(std::string_view name);

}  // namespace etchback::parts
