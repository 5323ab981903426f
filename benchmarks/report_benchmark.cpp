// How long the main job takes: from a dossier to the whole report.
//
// Reading is set against toml++ parsing the same text (what the check of every key, kind and
// quantity costs on top), the whole page against librsvg drawing the finished circuit to a PNG
// once. Both ratios are counters of the run, so that they come from one machine at one time.
#include <benchmark/benchmark.h>
#include <toml++/toml.h>

#include <chrono>
#include <filesystem>

#include "base/file.h"
#include "dossier/read.h"
#include "dossier/write.h"
#include "drawing/svg.h"
#include "render/paper.h"
#include "report/report.h"

namespace etchback {
namespace {

namespace fs = std::filesystem;

const fs::path kSource = ETCHBACK_SOURCE_DIR;
const fs::path kExample = kSource / "examples/sewing-adapter";

const report::Data& data() {
    static const report::Data loaded = *report::load_data(kSource / "data");
    return loaded;
}

// `copies` of the adapter on one mains lead: a larger item of the same grain. Only the first keeps
// the lead itself.
dossier::Dossier multiplied(const dossier::Dossier& one, int copies) {
    dossier::Dossier many = one;
    for (int copy = 1; copy < copies; ++copy) {
        const std::string tail = "_" + std::to_string(copy);
        for (dossier::Part part : one.parts) {
            if (part.kind.value == "mains") {
                continue;
            }
            part.name += tail;
            for (dossier::PinUse& use : part.pins) {
                use.net += use.net == "L" || use.net == "N" ? "" : tail;
            }
            many.parts.push_back(part);
        }
        for (dossier::NetNote note : one.nets) {
            note.name += tail;
            many.nets.push_back(note);
        }
    }
    return many;
}

std::string text_of(int copies) {
    const auto one = dossier::read_folder(kExample, data().catalogue);
    return dossier::write(multiplied(*one, copies), data().catalogue);
}

template <typename Work>
double seconds(const Work& work) {
    const auto start = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

void DossierToWholeReport(benchmark::State& state) {
    const std::string text = text_of(static_cast<int>(state.range(0)));
    const fs::path folder = fs::temp_directory_path() / "etchback-benchmark";
    fs::create_directories(folder);
    std::size_t parts = 0;
    std::string svg;
    double ours = 0.0;
    double plain = 0.0;
    for (auto _ : state) {
        ours += seconds([&] {
            const auto dossier = dossier::read(text, "dossier.toml", data().catalogue);
            const report::Study study = report::derive(*dossier, data());
            const auto written = report::write_report(study, data(), kExample, folder);
            if (!written) {
                state.SkipWithError(to_string(written.errors().front()).c_str());
            }
            parts = study.circuit.parts.size();
            svg = drawing::to_svg(study.drawing, study.circuit);
        });
        state.PauseTiming();
        plain += seconds([&] { benchmark::DoNotOptimize(render::png_from_svg(svg, 2000)); });
        state.ResumeTiming();
    }
    state.counters["parts"] = static_cast<double>(parts);
    state.counters["times_librsvg_png"] = ours / plain;
    fs::remove_all(folder);
}
BENCHMARK(DossierToWholeReport)->Arg(1)->Arg(3)->Unit(benchmark::kMillisecond);

void ReadADossier(benchmark::State& state) {
    const std::string text = text_of(static_cast<int>(state.range(0)));
    double ours = 0.0;
    double plain = 0.0;
    for (auto _ : state) {
        ours += seconds([&] {
            benchmark::DoNotOptimize(dossier::read(text, "dossier.toml", data().catalogue));
        });
        plain += seconds([&] { benchmark::DoNotOptimize(toml::parse(text)); });
    }
    state.counters["times_toml_parse"] = ours / plain;
    state.counters["bytes"] = static_cast<double>(text.size());
}
BENCHMARK(ReadADossier)->Arg(1)->Arg(3)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace etchback
