// bench-capture: waveform files and meter readings of an invented item, from its own simulation.

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>

#include "base/file.h"
#include "bench-capture/write_capture.h"
#include "dossier/read.h"

namespace {

using namespace etchback;

void complain(const base::Errors& errors) {
    for (const base::Error& error : errors) {
        fmt::print(stderr, "{}\n", base::to_string(error));
    }
}

int run(const std::filesystem::path& folder,
        const std::filesystem::path& data_folder,
        const std::string& only) {
    const auto data = report::load_data(data_folder);
    if (!data) {
        return complain(data.errors()), 1;
    }
    const auto dossier = dossier::read_folder(folder, data->catalogue);
    const auto tables = report::load_simulation_data(*data);
    const auto captures = capture::read_captures(folder / "captures.toml");
    if (!dossier || !tables || !captures) {
        complain(!dossier ? dossier.errors() : !tables ? tables.errors() : captures.errors());
        return 1;
    }
    const circuit::Circuit circuit = circuit::build(*dossier, data->catalogue);
    const capture::Item item{*dossier, circuit, *tables};
    for (const capture::Capture& one : captures->captures) {
        if (!only.empty() && one.file.find(only) == std::string::npos) {
            continue;
        }
        const auto taken = capture::take(item, *captures, one);
        if (!taken) {
            return complain(taken.errors()), 1;
        }
        std::filesystem::create_directories((folder / one.file).parent_path());
        const std::string text = capture::text_of(one, *taken);
        base::write_file_atomically(folder / one.file, text);
        fmt::print(
            "{}: {} samples, {} bytes\n", one.file, taken->samples.front().size(), text.size());
    }
    if (!captures->readings.empty() && only.empty()) {
        const auto readings = capture::read_meters(item, *captures);
        if (!readings) {
            return complain(readings.errors()), 1;
        }
        fmt::print("\n{}", *readings);
    }
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app(
        "Records the simulated circuit of an invented item through models of a scope and "
        "of meters, as its captures.toml says.");
    std::string folder, data = "data", only;
    app.add_option("DOSSIER", folder, "the item's folder")->required();
    app.add_option("--data", data, "the data folder")->capture_default_str();
    app.add_option("--only", only, "only files whose name holds this");
    CLI11_PARSE(app, argc, argv);
    try {
        return run(folder, data, only);
    } catch (const std::exception& error) {
        fmt::print(stderr, "{}\n", error.what());
        return 1;
    }
}
