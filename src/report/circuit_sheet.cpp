#include "report/circuit_sheet.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/text.h"
#include "report/net_voltages.h"
#include "report/study.h"

namespace etchback::report {
namespace {

// Blocks of one part need no frame.
std::vector<drawing::Frame> frames_of(const blocks::Blocks& found) {
    std::vector<drawing::Frame> frames;
    for (const blocks::Block& block : found.blocks) {
        if (auto parts = block.parts(); parts.size() > 1) {
            frames.push_back({block.title, std::move(parts)});
        }
    }
    return frames;
}

std::vector<std::string> own_notes(const dossier::Dossier& dossier) {
    std::vector<std::string> notes;
    for (const dossier::Text& note : dossier.drawing.notes) {
        notes.push_back(note.value);
    }
    return notes;
}

// Voltages that found no room at their nets, so that nothing is lost.
std::string without_room(const std::vector<drawing::NetVoltage>& voltages,
                         const circuit::Circuit& circuit) {
    std::vector<std::string> words;
    for (const drawing::NetVoltage& one : voltages) {
        words.push_back(circuit[one.net].name + " " + one.text);
    }
    return std::string("No room at their nets: ") + base::listed(words) + ".";
}

SheetSources sources_of(const Study& study) {
    return {.dossier = study.dossier,
            .circuit = study.circuit,
            .domains = study.domains,
            .readings = study.bench.readings,
            .blocks = &study.blocks,
            .behaviour = study.behaviour ? &*study.behaviour : nullptr};
}

}  // namespace

drawing::Paper paper_named(std::string_view word) {
    return word == "A4"       ? drawing::Paper::a4
           : word == "A3"     ? drawing::Paper::a3
           : word == "letter" ? drawing::Paper::letter
                              : drawing::Paper::fit;
}

void SheetWords::show(const std::vector<std::string>& layers) {
    const auto shows = [&](std::string_view layer) {
        return std::find(layers.begin(), layers.end(), layer) != layers.end();
    };
    tolerances = shows("tolerances");
    doubts = shows("doubts");
    voltages = shows("voltages");
    blocks = shows("blocks");
}

SheetWords sheet_words(const dossier::DrawingWishes& wishes) {
    SheetWords words;
    words.standard =
        wishes.symbols.value == "ansi" ? drawing::Standard::ansi : drawing::Standard::iec;
    words.paper = paper_named(wishes.paper.value);
    std::vector<std::string> layers;
    for (const dossier::Text& layer : wishes.show) {
        layers.push_back(layer.value);
    }
    words.show(layers);
    return words;
}

drawing::Options drawing_options(const SheetWords& words, const dossier::DrawingWishes& wishes) {
    drawing::Options options;
    options.standard = words.standard;
    options.nudges = drawing::nudges_of(wishes);
    return options;
}

DrawnCircuit drawn_circuit(const drawing::Drawing& plain,
                           const SheetWords& words,
                           const SheetSources& from) {
    DrawnCircuit drawn{plain, {}, {}};
    drawn.notes = words.paper != drawing::Paper::fit || words.doubts
                      ? drawing::notes_of(from.dossier)
                      : own_notes(from.dossier);
    if (words.blocks && from.blocks != nullptr) {
        drawn.frames = frames_of(*from.blocks);
    }
    const auto values = drawing::add_values(
        from.circuit, {.tolerances = words.tolerances, .doubts = words.doubts}, drawn.drawing);
    if (!values.empty()) {
        drawn.notes.push_back(std::string("No room at their parts: ") + base::listed(values) + ".");
    }
    if (words.voltages) {
        const NetVoltages voltages =
            net_voltages(from.dossier, from.readings, from.circuit, from.domains, from.behaviour);
        drawn.notes.insert(drawn.notes.end(), voltages.notes.begin(), voltages.notes.end());
        const auto left = drawing::add_voltages(voltages.shown, drawn.drawing);
        if (!left.empty()) {
            drawn.notes.push_back(without_room(left, from.circuit));
        }
    }
    return drawn;
}

std::vector<drawing::Sheet> sheets_of(const DrawnCircuit& drawn,
                                      const SheetWords& words,
                                      const SheetSources& from) {
    drawing::SheetOptions options;
    options.paper = words.paper;
    options.title = drawing::title_block_of(from.dossier);
    options.notes = drawn.notes;
    options.frames = drawn.frames;
    return drawing::sheets_of(drawn.drawing, from.circuit, options);
}

DrawnCircuit drawn_circuit(const Study& study) {
    return drawn_circuit(study.drawing, study.sheet_words, sources_of(study));
}

std::vector<drawing::Sheet> sheets_of(const Study& study, const DrawnCircuit& drawn) {
    return sheets_of(drawn, study.sheet_words, sources_of(study));
}

drawing::Sheet on_screen(const DrawnCircuit& drawn, const circuit::Circuit& circuit) {
    drawing::SheetOptions options;
    options.frames = drawn.frames;
    return drawing::sheets_of(drawn.drawing, circuit, options).front();
}

}  // namespace etchback::report
