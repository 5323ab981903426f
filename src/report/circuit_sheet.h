// The drawn circuit with what a dossier's [drawing], or the command line in its place, asks for on
// it and round it. The command `draw`, the page and the paper are made from this.
#pragma once

#include <string>
#include <vector>

#include "blocks/blocks.h"
#include "drawing/sheet.h"
#include "report/behaviour_view.h"

namespace etchback::report {

struct Study;

// Paper, symbols and layers.
struct SheetWords {
    drawing::Standard standard = drawing::Standard::iec;
    drawing::Paper paper = drawing::Paper::fit;
    bool tolerances = false, doubts = false, voltages = false, blocks = false;

    void show(const std::vector<std::string>& layers);  // these and no others
    bool operator==(const SheetWords&) const = default;
};
SheetWords sheet_words(const dossier::DrawingWishes& wishes);
drawing::Paper paper_named(std::string_view word);  // "A4"; what is no paper is `fit`

// What a drawing is made from. `behaviour` may be null: then no voltage is simulated.
struct SheetSources {
    const dossier::Dossier& dossier;
    const circuit::Circuit& circuit;
    const circuit::Domains& domains;
    const std::vector<dossier::Reading>& readings;  // see AtBench
    const blocks::Blocks* blocks = nullptr;         // for their frames
    const Behaviour* behaviour = nullptr;
};

// How the plain circuit is drawn, before any layer.
drawing::Options drawing_options(const SheetWords& words, const dossier::DrawingWishes& wishes);

struct DrawnCircuit {
    drawing::Drawing drawing;            // with its layers
    std::vector<drawing::Frame> frames;  // of blocks, for the sheet
    std::vector<std::string> notes;      // below it
};

// `plain` with its layers. Of the dossier's doubts and assumptions the notes tell where they are
// marked or where it is on paper.
DrawnCircuit drawn_circuit(const drawing::Drawing& plain,
                           const SheetWords& words,
                           const SheetSources& from);

// On `words.paper`; the title block says what the dossier says.
std::vector<drawing::Sheet> sheets_of(const DrawnCircuit& drawn,
                                      const SheetWords& words,
                                      const SheetSources& from);

// The same of a study, with what it has simulated.
DrawnCircuit drawn_circuit(const Study& study);
std::vector<drawing::Sheet> sheets_of(const Study& study, const DrawnCircuit& drawn);

// As large as it is, without paper and notes.
drawing::Sheet on_screen(const DrawnCircuit& drawn, const circuit::Circuit& circuit);

}  // namespace etchback::report
