// Why pairs of pads are judged wrongly: by what really lies where the picture was misread.
#pragma once

#include <filesystem>
#include <map>
#include <string>

#include "tracing/invented_board.h"

namespace etchback::tracing {

// Wrong pairs by cause; each wrong pair counts once, for the first misread place on its way.
std::map<std::string, int> causes_of(const InventedBoard& board, const TracedBoard& traced);

// Each side as it was read: the photo with the islands' edges in green, joints that are closed in
// white and open in yellow, places read as hidden in grey, copper that is none in red, copper that
// was missed in blue. PREFIX-top.png and PREFIX-bottom.png.
void draw_misread(const InventedBoard& board,
                  const TracedBoard& traced,
                  const std::filesystem::path& prefix);

// Pairs by the probability of a joint and how many of those truly join: "0.1-0.2: 3 of 40".
struct Reliability {
    std::map<std::string, std::map<int, std::pair<int, int>>> by_kind;  // tenth -> true, all
};
void add_reliability(const InventedBoard& board, const TracedBoard& traced, Reliability& sum);

}  // namespace etchback::tracing
