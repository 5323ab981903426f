// docs/gallery/fewest.toml: what the search has found, kept so that nobody need search again.
#pragma once

#include <filesystem>
#include <map>
#include <string>

#include "gallery/fewest.h"

namespace etchback::gallery {

// By id of the circuit. Throws std::runtime_error where the file is not in order.
std::map<std::string, Fewest> read_fewest(const std::filesystem::path& file);

// docs/gallery/by_hand.toml: circuits of which a careful hand drawing keeps a well-known shape at
// the price of crossings. Throws like read_fewest.
struct ByHand {
    int crossings = 0;
    std::string why;
};
std::map<std::string, ByHand> read_by_hand(const std::filesystem::path& file);

std::string to_toml(const std::map<std::string, Fewest>& fewest, int tries);

}  // namespace etchback::gallery
