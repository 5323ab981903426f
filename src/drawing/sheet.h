// A finished drawing on paper: frame, title block, notes, frames round blocks, marks; on as many
// sheets as it needs. Everything is plain values, in grid steps of the drawing.
//
// Large drawings are cut where the fewest wires run. Both ends of a wire that was cut bear a flag
// with the net's name and the number of the sheet on which it goes on.
#pragma once

#include <string>
#include <vector>

#include "drawing/drawing.h"
#include "drawing/svg.h"

namespace etchback::drawing {

enum class Paper { fit, a4, a3, letter };  // fit: as large as the drawing, without a frame

// What the title block says; what is empty is left out.
struct TitleBlock {
    std::string title;   // the item
    std::string maker;   // and model
    std::string author;  // who made the dossier
    std::string date;    // as written there
    std::string revision;
    std::string licence;
    bool invented = false;
    bool operator==(const TitleBlock&) const = default;
};

// A group of parts with its name; the caller knows what groups there are.
struct Frame {
    std::string name;
    std::vector<circuit::PartId> parts;
    bool operator==(const Frame&) const = default;
};

struct SheetOptions {
    Paper paper = Paper::fit;
    TitleBlock title = {};
    std::vector<std::string> notes = {};
    std::vector<Frame> frames = {};
    std::vector<circuit::PartId> marked_parts = {};  // to be seen at once
    std::vector<circuit::NetId> marked_nets = {};
};

struct SheetText {
    std::string text;
    Point at;  // baseline
    Word::Anchor anchor = Word::Anchor::start;
    double size = 1.0;
    enum class Look { plain, caption, bold, block } look = Look::plain;
    Box box() const { return text_box(text, at, anchor, size, look == Look::bold); }
    bool operator==(const SheetText&) const = default;
};

// Frames the parts of a block that lie together, without any other part; a block in several heaps
// has a frame for each of two parts or more. A frame keeps off other frames, texts and wires along
// it; where it cannot, or its name finds no room, there is none.
struct BlockFrame {
    std::vector<Box> boxes;
    SheetText name;
    bool operator==(const BlockFrame&) const = default;
};

struct Sheet {
    Drawing drawing;  // where it lies on the sheet; its width and height are those of the sheet
    int number = 1, count = 1;
    double mm_per_step = 0.0;    // 0: has no size of its own
    std::vector<Segment> rules;  // of the title block
    std::vector<Box> borders;    // round the sheet and the title block
    std::vector<SheetText> texts;
    std::vector<BlockFrame> frames;
    std::vector<circuit::PartId> marked_parts;
    std::vector<circuit::NetId> marked_nets;
    bool operator==(const Sheet&) const = default;
};

// One sheet or more; never none.
std::vector<Sheet> sheets_of(const Drawing& drawing,
                             const circuit::Circuit& circuit,
                             const SheetOptions& options);

// What a dossier says for the title block, and what is in doubt or assumed, a sentence each: the
// person's own notes first.
TitleBlock title_block_of(const dossier::Dossier& dossier);
std::vector<std::string> notes_of(const dossier::Dossier& dossier);

// What may stand behind the values of parts.
struct ValueLayers {
    bool tolerances = false;  // "470k ±5 %"
    bool doubts = false;      // a question mark behind values that are assumed or may be others
};
// Writes them into a plain drawing: where there is room, on a line of their own if need be; else
// what is in the way moves on, and the drawing stays the same in all else. What finds no room even
// so comes back, "R5 ±1 %".
std::vector<std::string> add_values(const circuit::Circuit& circuit,
                                    const ValueLayers& layers,
                                    Drawing& drawing);

// A voltage that is shown at a net, against the return of its domain; what is simulated is set in
// italics.
struct NetVoltage {
    circuit::NetId net;
    std::string text;  // "12.1 V"
    bool simulated = false;
    bool operator==(const NetVoltage&) const = default;
};

// Writes voltages beside their nets where there is room, in the order given. Those that found none
// come back.
std::vector<NetVoltage> add_voltages(const std::vector<NetVoltage>& voltages, Drawing& drawing);

// A page of the sheet's size; `style.title` as for a drawing.
std::string to_svg(const Sheet& sheet, const circuit::Circuit& circuit, const SvgStyle& style = {});

}  // namespace etchback::drawing
