// How long a circuit takes from graph to drawing, and how that grows with its parts: by the clock,
// and as CPU time of all threads. Meant: 40 parts in 150 ms, 150 parts in 2 s.
#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include <stdexcept>

#include "circuit/domains.h"
#include "drawing/drawing.h"
#include "gallery/circuits.h"
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
    state.SetComplexityN(static_cast<benchmark::IterationCount>(circuit.parts.size()));
}
BENCHMARK(draw_stages)
    ->Arg(10)
    ->Arg(20)
    ->Arg(40)
    ->Arg(80)
    ->Arg(150)
    ->Unit(benchmark::kMillisecond)
    ->MeasureProcessCPUTime()
    ->UseRealTime()
    ->Complexity();

// A part of a drawn circuit is dragged three steps aside. Meant: 50 ms for 40 parts.
void redraw_after_a_nudge(benchmark::State& state) {
    const circuit::Circuit circuit = stages(static_cast<int>(state.range(0)));
    const circuit::Domains domains = circuit::domains(circuit);
    const drawing::Drawing before = drawing::draw(circuit, domains);
    std::size_t part = 0;
    for (auto _ : state) {
        part = (part + 7) % circuit.parts.size();
        const drawing::Point at = before.parts[part].at;
        drawing::Options options;
        options.nudges.stands = {
            {circuit.parts[part].name, drawing::Point{at.x + 3.0, at.y + 1.0}, std::nullopt}};
        benchmark::DoNotOptimize(drawing::redraw(before, circuit, circuit, domains, options));
    }
    state.counters["parts"] = static_cast<double>(circuit.parts.size());
}
BENCHMARK(redraw_after_a_nudge)
    ->Arg(20)
    ->Arg(40)
    ->Arg(80)
    ->Arg(150)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

// All circuits of the gallery, one after the other.
void draw_gallery(benchmark::State& state) {
    const std::vector<gallery::Entry> entries = gallery::entries(ETCHBACK_SOURCE_DIR);
    std::size_t parts = 0;
    for (auto _ : state) {
        parts = 0;
        for (const gallery::Entry& entry : entries) {
            benchmark::DoNotOptimize(drawing::draw(entry.circuit, circuit::domains(entry.circuit)));
            parts += entry.circuit.parts.size();
        }
    }
    state.counters["circuits"] = static_cast<double>(entries.size());
    state.counters["parts"] = static_cast<double>(parts);
}
BENCHMARK(draw_gallery)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();

}  // namespace
