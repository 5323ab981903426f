// A board of square islands for tests of nets: each island is a square of 1 mm, and joints are what
// the test says.
#pragma once

#include <string>
#include <vector>

#include "copper/nets.h"

namespace etchback::copper {

class Squares {
public:
    // Squares lie in a row along the top side, 2 mm apart; further rows at 2 mm below.
    explicit Squares(int count, int on_bottom = 0);

    // The joint's index.
    int join(int a, int b, double joined, Joint::Kind kind = Joint::Kind::neck);
    // A pad in the middle of an island, "P" and its number.
    std::size_t pad(int island);
    void beep(std::size_t a, std::size_t b, bool beeps = true);
    void silence(std::size_t a, std::size_t b) { beep(a, b, false); }
    Point middle(int island) const;

    Nets nets() const { return find_nets(islands, pads, checks); }

    Islands islands;
    std::vector<Pad> pads;
    std::vector<Check> checks;

private:
    int top_ = 0;
};

}  // namespace etchback::copper
