#include "blocks/detail/compare_likeness.h"

#include <algorithm>

namespace etchback::blocks::detail {
namespace {

template <typename Nets>
std::vector<int> number_pins(const Model& model, Nets& nets) {
    std::vector<int> first;
    nets.resize(static_cast<std::size_t>(model.nets()));
    int pin = 0;
    for (const Element& element : model.elements) {
        first.push_back(pin);
        for (const int net : element.nets) {
            if (net >= 0) {
                nets[static_cast<std::size_t>(net)].pins.push_back(pin);
            }
            ++pin;
        }
    }
    first.push_back(pin);
    return first;
}

}  // namespace

Spread::Spread(const Model& there,
               const Model& here,
               const std::vector<std::vector<PairCost>>& pairs)
    : there_(there), here_(here), pairs_(pairs) {
    first_there_ = number_pins(there, nets_there_);
    first_here_ = number_pins(here, nets_here_);
}

Likeness Spread::pins_alike(const Likeness& nets) const {
    Likeness pins(static_cast<std::size_t>(first_there_.back()),
                  std::vector<double>(static_cast<std::size_t>(first_here_.back()), 0.0));
    for (std::size_t a = 0; a < there_.elements.size(); ++a) {
        for (std::size_t b = 0; b < here_.elements.size(); ++b) {
            const PairCost& pair = pairs_[a][b];
            for (const Way& way : pair.ways) {
                double sum = 0.0;
                std::vector<double> each;
                for (const auto& [i, j] : way.pins) {
                    const int p = there_.elements[a].nets[static_cast<std::size_t>(i)];
                    const int q = here_.elements[b].nets[static_cast<std::size_t>(j)];
                    each.push_back(
                        p >= 0 && q >= 0
                            ? nets[static_cast<std::size_t>(p)][static_cast<std::size_t>(q)]
                            : (p == q ? 1.0 : 0.0));
                    sum += each.back();
                }
                const double own = 1.0 / (1.0 + (pair.cost + way.cost) / (0.5 * edit));
                const auto others = static_cast<double>(way.pins.size()) - 1.0;
                for (std::size_t k = 0; k < way.pins.size(); ++k) {
                    const auto p = static_cast<std::size_t>(first_there_[a] + way.pins[k].first);
                    const auto q = static_cast<std::size_t>(first_here_[b] + way.pins[k].second);
                    const double rest = others > 0 ? (sum - each[k]) / others : 1.0;
                    pins[p][q] = std::max(pins[p][q], own * rest);
                }
            }
        }
    }
    return pins;
}

Likeness Spread::likeness(int spreads) const {
    Likeness nets(nets_there_.size(), std::vector<double>(nets_here_.size(), 1.0));
    for (int spread = 0; spread < spreads; ++spread) {
        const Likeness pins = pins_alike(nets);
        for (std::size_t x = 0; x < nets.size(); ++x) {
            for (std::size_t y = 0; y < nets[x].size(); ++y) {
                const auto& p = nets_there_[x].pins;
                const auto& q = nets_here_[y].pins;
                double sum = 0.0;
                for (const int i : p) {
                    double best = 0.0;
                    for (const int j : q) {
                        best = std::max(
                            best, pins[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)]);
                    }
                    sum += best;
                }
                for (const int j : q) {
                    double best = 0.0;
                    for (const int i : p) {
                        best = std::max(
                            best, pins[static_cast<std::size_t>(i)][static_cast<std::size_t>(j)]);
                    }
                    sum += best;
                }
                const auto most = static_cast<double>(2 * std::max(p.size(), q.size()));
                nets[x][y] = most > 0 ? sum / most : 0.0;
            }
        }
    }
    return nets;
}

}  // namespace etchback::blocks::detail
