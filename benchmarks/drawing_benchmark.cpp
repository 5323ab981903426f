// How long a circuit takes from graph to drawing: 40 parts should stay well under 300 ms, 100
// parts under 1.5 s.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <stdexcept>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "parts/catalogue.h"

namespace {

using namespace etchback;

dossier::Part part(const std::string& name,
                   const std::string& kind,
                   std::vector<std::pair<std::string, std::string>> pins) {
    dossier::Part p;
    p.name = name;
    p.kind = {kind, {}};
    for (auto& [pin, net] : pins) {
        p.pins.push_back({std::move(pin), std::move(net), {}});
    }
    return p;
}

// A chain of buffered filter stages behind a supply: each stage is a chip with four small parts.
circuit::Circuit stages(int parts) {
    auto catalogue = parts::load_catalogue(ETCHBACK_SOURCE_DIR "/data/parts");
    if (!catalogue) {
        throw std::runtime_error("the catalogue of parts cannot be read");
    }
    std::vector<dossier::Part> all{
        part("J1", "connector", {{"1", "VIN"}, {"2", "GND"}, {"3", "S0"}}),
        part("C1", "electrolytic capacitor", {{"+", "VIN"}, {"-", "GND"}})};
    for (int i = 0; static_cast<int>(all.size()) + 5 <= parts; ++i) {
        const std::string in = fmt::format("S{}", i);
        const std::string out = fmt::format("S{}", i + 1);
        const std::string mid = fmt::format("M{}", i);
        const std::string fb = fmt::format("F{}", i);
        all.push_back(part(fmt::format("R{}", 2 * i + 1), "resistor", {{"1", in}, {"2", mid}}));
        all.push_back(
            part(fmt::format("C{}", i + 2), "ceramic capacitor", {{"1", mid}, {"2", "GND"}}));
        all.push_back(
            part(fmt::format("U{}", i + 1),
                 "controller",
                 {{"VCC", "VIN"}, {"GND", "GND"}, {"IN", mid}, {"FB", fb}, {"OUT", out}}));
        all.push_back(part(fmt::format("R{}", 2 * i + 2), "resistor", {{"1", out}, {"2", fb}}));
        all.push_back(part(fmt::format("D{}", i + 1), "diode", {{"anode", fb}, {"cathode", out}}));
    }
    return circuit::build(all, {}, *catalogue);
}

void draw_stages(benchmark::State& state) {
    const circuit::Circuit circuit = stages(static_cast<int>(state.range(0)));
    const circuit::Domains domains = circuit::domains(circuit);
    for (auto _ : state) {
        benchmark::DoNotOptimize(drawing::draw(circuit, domains));
    }
    state.counters["parts"] = static_cast<double>(circuit.parts.size());
}
BENCHMARK(draw_stages)->Arg(12)->Arg(40)->Arg(100)->Unit(benchmark::kMillisecond);

}  // namespace
