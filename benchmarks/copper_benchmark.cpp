// From a pair of photographs to nets: how long, against OpenCV's own plain steps on the same
// picture, and how much memory.
#include <benchmark/benchmark.h>

#include <sys/resource.h>

#include <filesystem>
#include <map>
#include <opencv2/imgproc.hpp>

#include "base/file.h"
#include "board-photographer/make_board.h"
#include "board-photographer/photograph.h"
#include "copper/eye/detail/raster_pixels.h"
#include "copper/eye/find_islands.h"
#include "copper/eye/photo.h"
#include "copper/eye/registration.h"
#include "copper/eye/surface.h"
#include "copper/eye/trace_board.h"
#include "copper/eye/tracing.h"
#include "parts/catalogue.h"

namespace {

using namespace etchback;
namespace fs = std::filesystem;

struct Pair {
    fs::path folder;
    dossier::Dossier dossier;

    copper::eye::Photo photo(const std::string& name) const {
        return {name, copper::eye::read_photo((folder / name).string(), {})->bgr};
    }
};

// A pair of photos of an invented board of two sides, in files. Those of an earlier run are taken
// as they are, so that a second run measures the memory of what reads them alone; remove the
// folders after a change of the renderer.
const Pair& pair_of(int megapixels) {
    static std::map<int, Pair> pairs;
    Pair& pair = pairs[megapixels];
    if (!pair.folder.empty()) {
        return pair;
    }
    const auto layout = photographer::make_board(6);
    photographer::Nuisance nuisance = photographer::random_nuisance(6, 0.1);
    nuisance.size = megapixels >= 24 ? cv::Size(5656, 4242) : cv::Size(4000, 3000);
    pair.folder = fs::temp_directory_path() / ("etchback-benchmark-" + std::to_string(megapixels));
    fs::create_directories(pair.folder);
    for (const auto side : {copper::Side::top, copper::Side::bottom}) {
        const bool top = side == copper::Side::top;
        dossier::Photo photo;
        photo.file.value = top ? "top.jpg" : "bottom.jpg";
        photo.side.value = top ? "top" : "bottom";
        pair.dossier.photos.push_back(photo);
        if (!fs::exists(pair.folder / photo.file.value)) {
            const photographer::Shot shot = photographer::photograph(layout, side, nuisance);
            base::write_file_atomically(
                pair.folder / photo.file.value,
                {reinterpret_cast<const char*>(shot.jpeg.data()), shot.jpeg.size()});
        }
    }
    pair.dossier.board.width = dossier::Amount{base::Quantity::of(0.06, base::Unit::metre), {}};
    return pair;
}

const parts::Catalogue& no_parts() {
    static const parts::Catalogue none({}, {});
    return none;
}

void file_to_nets(benchmark::State& state) {
    const Pair& pair = pair_of(static_cast<int>(state.range(0)));
    for (auto _ : state) {
        auto traced = copper::eye::trace_board(pair.dossier, pair.folder, no_parts());
        if (!traced) {
            state.SkipWithError(traced.errors().front().what.c_str());
            return;
        }
        const copper::Trace trace = copper::trace_from(std::move(traced->picture),
                                                       std::move(traced->islands),
                                                       traced->pads,
                                                       pair.dossier,
                                                       no_parts());
        benchmark::DoNotOptimize(trace.nets.nets.size());
    }
    rusage use{};
    getrusage(RUSAGE_SELF, &use);
    // Of the whole process: run it alone and twice, so that the renderer is not in it.
    state.counters["peak_MB"] = static_cast<double>(use.ru_maxrss) / 1024.0;
}
BENCHMARK(file_to_nets)
    ->Arg(12)
    ->Arg(24)
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime()
    ->Iterations(2);

copper::eye::StraightBoard straight(const Pair& pair) {
    auto board =
        copper::eye::straighten(pair.photo("top.jpg"), pair.photo("bottom.jpg"), pair.dossier);
    return *std::move(board);
}

void classify(benchmark::State& state) {
    const copper::eye::StraightBoard board = straight(pair_of(12));
    for (auto _ : state) {
        benchmark::DoNotOptimize(copper::eye::classify(board, {}, {}).raster.width);
    }
    state.counters["megapixels"] = 2e-6 * static_cast<double>(board.raster.size());
}
BENCHMARK(classify)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->Iterations(3);

// The yardstick for `classify`: colour conversion, Gaussian blur and connected components of the
// same two straightened sides.
void plain_opencv_steps(benchmark::State& state) {
    const copper::eye::StraightBoard board = straight(pair_of(12));
    for (auto _ : state) {
        for (const auto* side : {&board.top, &board.bottom}) {
            cv::Mat lab;
            cv::Mat blurred;
            cv::cvtColor((*side)->bgr, lab, cv::COLOR_BGR2Lab);
            cv::GaussianBlur(lab, blurred, {}, 2.0);
            cv::Mat light;
            cv::extractChannel(blurred, light, 0);
            cv::Mat labels;
            benchmark::DoNotOptimize(cv::connectedComponents(light > cv::mean(light)[0], labels));
        }
    }
}
BENCHMARK(plain_opencv_steps)
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime()
    ->Iterations(3);

// One more stroke on a pair that was followed already, up to nets: each time another one.
// Places on the top that show laminate all about, half a millimetre apart.
std::vector<copper::Point> laminate_on(const copper::BoardPicture& picture) {
    const copper::Raster& raster = picture.raster;
    const int step = static_cast<int>(0.5 * raster.px_per_mm);
    const int about = static_cast<int>(0.1 * raster.px_per_mm);
    std::vector<copper::Point> places;
    for (int y = step; y + step < raster.height; y += step) {
        for (int x = step; x + step < raster.width; x += step) {
            bool all = true;
            for (int k = 0; k < 4; ++k) {
                const int u = x + (k % 2 == 0 ? about : -about);
                const int v = y + (k / 2 == 0 ? about : -about);
                all = all && picture.top->surface[static_cast<std::size_t>(v) * raster.width + u] ==
                                 copper::Surface::laminate;
            }
            if (all) {
                places.push_back(copper::eye::detail::board_of(cv::Point2d(x, y), raster));
            }
        }
    }
    return places;
}

// Kinds of strokes, each drawn as dots of its own in turn.
enum Kind : int {
    follows,  // dots on copper, which teach nothing without laminate
    changes,  // dots of no copper, which take a bite out of a piece
    teaches   // dots of copper and of laminate in turn, each where there is such
};

const char* says(Kind kind, std::size_t k) {
    switch (kind) {
        case follows:
            return "copper";
        case changes:
            return "no copper";
        case teaches:
            break;
    }
    return k % 2 == 0 ? "copper" : "laminate";
}

void one_more_stroke(benchmark::State& state) {
    const auto kind = static_cast<Kind>(state.range(0));
    const Pair& pair = pair_of(12);
    const cv::Size size(4000, 3000);
    copper::eye::Tracing tracing =
        copper::eye::Tracing::begin(pair.dossier, straight(pair), size, size, no_parts());
    const copper::BoardPicture picture = tracing.trace().picture;
    const copper::PhotoFit& fit = picture.registration.photos.front();
    const std::vector<copper::Island> islands = tracing.trace().islands.islands;
    const std::vector<copper::Point> laminate = laminate_on(picture);
    std::vector<dossier::Stroke> strokes;
    for (auto _ : state) {
        const std::size_t k = strokes.size();
        dossier::Stroke& stroke = strokes.emplace_back();
        stroke.photo.value = "top.jpg";
        stroke.says.value = says(kind, k);
        stroke.width_px = 8;
        const copper::Point at = stroke.says.value == "laminate"
                                     ? laminate[7 * k % laminate.size()]
                                     : islands[k % islands.size()].inside;
        const cv::Point2d px = copper::eye::photo_pixel(fit, size, at);
        stroke.along = {{px.x, px.y}};
        tracing.set_strokes(strokes);
        benchmark::DoNotOptimize(copper::find_nets(tracing.trace().islands, {}, {}).nets.size());
    }
}
BENCHMARK(one_more_stroke)
    ->ArgName("follows_changes_teaches")
    ->Arg(follows)
    ->Arg(changes)
    ->Arg(teaches)
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime()
    ->Iterations(5);

}  // namespace
