#include "photographer/connectivity.h"

#include <fmt/format.h>

#include <map>
#include <numeric>
#include <opencv2/imgproc.hpp>
#include <set>

namespace etchback::photographer {
namespace {

class Sets {
public:
    explicit Sets(std::size_t count) : parent_(count) {
        std::iota(parent_.begin(), parent_.end(), std::size_t{0});
    }
    std::size_t find(std::size_t a) {
        while (parent_[a] != a) {
            a = parent_[a] = parent_[parent_[a]];
        }
        return a;
    }
    void join(std::size_t a, std::size_t b) { parent_[find(a)] = find(b); }

private:
    std::vector<std::size_t> parent_;
};

}  // namespace

std::string faults_of_copper(const Truth& truth) {
    cv::Mat top;
    cv::Mat bottom;
    const int tops = cv::connectedComponents(truth.top, top, 8);
    const int bottoms = cv::connectedComponents(truth.bottom, bottom, 8);
    Sets sets(static_cast<std::size_t>(tops + bottoms));
    const auto label = [&](Point at, bool on_top) -> std::size_t {
        const int x =
            static_cast<int>((at.x_mm - truth.raster.origin.x_mm) * truth.raster.px_per_mm);
        const int y =
            static_cast<int>((at.y_mm - truth.raster.origin.y_mm) * truth.raster.px_per_mm);
        const int l = (on_top ? top : bottom).at<int>(y, x);
        return static_cast<std::size_t>(l == 0 ? 0 : on_top ? l : tops + l);
    };
    for (const TruthHole& hole : truth.holes) {
        if (hole.plated) {
            sets.join(label(hole.at, true), label(hole.at, false));
        }
    }
    std::map<std::string, std::set<std::size_t>> copper_of_net;
    std::map<std::size_t, std::set<std::string>> nets_of_copper;
    std::string faults;
    for (const TruthPad& pad : truth.pads) {
        for (const bool on_top : {true, false}) {
            if (on_top ? pad.top : pad.bottom) {
                const std::size_t l = label(pad.at, on_top);
                if (l == 0) {
                    faults += fmt::format("{}.{} lies on no copper\n", pad.part, pad.pin);
                }
                copper_of_net[pad.net].insert(sets.find(l));
                nets_of_copper[sets.find(l)].insert(pad.net);
            }
        }
    }
    for (const auto& [net, pieces] : copper_of_net) {
        if (pieces.size() > 1) {
            faults += fmt::format("net {} is in {} pieces\n", net, pieces.size());
        }
    }
    for (const auto& [piece, nets] : nets_of_copper) {
        if (nets.size() > 1) {
            faults += fmt::format("nets {} are joined\n", fmt::join(nets, ", "));
        }
    }
    return faults;
}

}  // namespace etchback::photographer
