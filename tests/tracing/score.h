// How right nets are: against a truth that names the net of every pad.
#pragma once

#include <cstddef>
#include <set>
#include <string>
#include <vector>

#include "base/disjoint_sets.h"
#include "copper/detail/pad_feet.h"
#include "copper/islands.h"
#include "copper/nets.h"

namespace etchback::tracing {

struct Score {
    std::size_t pairs = 0;      // of pads
    std::size_t wrong = 0;      // same net or not: judged otherwise than the truth
    std::size_t in_doubts = 0;  // of the wrong ones: a listed doubt owns up to it
    std::size_t doubts = 0;
    std::size_t questions = 0;

    double right() const {
        return pairs == 0 ? 1.0 : 1.0 - static_cast<double>(wrong) / static_cast<double>(pairs);
    }
    double owned() const {
        return wrong == 0 ? 1.0 : static_cast<double>(in_doubts) / static_cast<double>(wrong);
    }
    Score& operator+=(const Score& o);
};

// Whether the listed doubts own up to a wrong pair.
class Owning {
public:
    Owning(const copper::Islands& islands,
           const std::vector<copper::Pad>& pads,
           const copper::Nets& nets);
    bool owns(std::size_t a, std::size_t b);

private:
    std::vector<copper::detail::PadFoot> feet_;
    base::DisjointSets surely_;
    base::DisjointSets perhaps_;
    std::set<std::size_t> beside_;
    std::set<std::size_t> parted_;  // what may be joined on a side that was not read
    const copper::Nets& nets_;
};

// A wrong pair is owned up to where taking every joint of the listed doubts for the other of what
// it is taken for would have joined (parted) the pair, or where a pad of it is told to lie beside
// copper.
Score score_of(const copper::Islands& islands,
               const std::vector<copper::Pad>& pads,
               const copper::Nets& nets,
               const std::vector<std::string>& truth);

// The wrong pairs in words, a few of them, for whoever reads a failure.
std::string wrong_pairs(const std::vector<copper::Pad>& pads,
                        const copper::Nets& nets,
                        const std::vector<std::string>& truth,
                        std::size_t most = 10);

}  // namespace etchback::tracing
