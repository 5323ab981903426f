#include "drawing/sheet.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <sstream>

#include "drawing/detail/cut.h"
#include "drawing/detail/frames.h"
#include "drawing/detail/label_room.h"

namespace etchback::drawing {

namespace {

using detail::frames_of;
using detail::joined;
using detail::moved;

// All in millimetres.
constexpr double rim = 8.0;  // from the paper's edge to the border
constexpr double air = 4.0;  // from the border to the drawing
constexpr double block_width = 112.0;
constexpr double title_height = 11.0;
constexpr double row_height = 7.5;
constexpr double note_size = 2.5;
constexpr double note_line = 3.5;
constexpr double largest_step = 2.6;   // a letter of a value is 2.6 mm high
constexpr double smallest_step = 1.8;  // below it there are more sheets

struct PaperSize {
    double width, height;
};

// Upright, ISO 216 and ANSI/ASME Y14.1.
PaperSize size_of(Paper paper) {
    switch (paper) {
        case Paper::a3:
            return {297.0, 420.0};
        case Paper::letter:
            return {215.9, 279.4};
        default:
            return {210.0, 297.0};
    }
}

std::vector<std::string> wrapped(const std::string& text, double size, double width) {
    std::vector<std::string> lines;
    std::string line;
    std::istringstream words(text);
    for (std::string word; words >> word;) {
        const std::string longer = line.empty() ? word : line + " " + word;
        if (!line.empty() && text_width(longer, size) > width) {
            lines.push_back(line);
            line = word;
        } else {
            line = longer;
        }
    }
    if (!line.empty()) {
        lines.push_back(line);
    }
    return lines;
}

// Notes with their numbers; the lines after the first of each are set in.
struct NoteLine {
    std::string text;
    bool first = true;
};
std::vector<NoteLine> note_lines(const std::vector<std::string>& notes, double size, double width) {
    std::vector<NoteLine> lines;
    for (std::size_t i = 0; i < notes.size(); ++i) {
        bool first = true;
        for (const std::string& line : wrapped(notes[i], size, width - 2.4 * size)) {
            lines.push_back(
                {first && notes.size() > 1 ? fmt::format("{}. {}", i + 1, line) : line, first});
            first = false;
        }
    }
    return lines;
}

// A field of the title block; the share of its row that it asks for.
struct Field {
    std::string caption, text;
    double share;
};

// Draws in millimetres on a sheet that counts in steps.
class Pen {
public:
    Pen(Sheet& sheet, double mm_per_step) : sheet_(sheet), mm_(mm_per_step) {}

    void text(std::string text,
              double x,
              double y,
              double size,
              SheetText::Look look,
              Word::Anchor anchor = Word::Anchor::start) {
        sheet_.texts.push_back({std::move(text), {x / mm_, y / mm_}, anchor, size / mm_, look});
    }
    void rule(double x0, double y0, double x1, double y1) {
        sheet_.rules.push_back({{x0 / mm_, y0 / mm_}, {x1 / mm_, y1 / mm_}});
    }
    void border(double left, double top, double right, double bottom) {
        sheet_.borders.push_back({left / mm_, top / mm_, right / mm_, bottom / mm_});
    }
    // As large as fits, `size` at most.
    double fitting(const std::string& text, double size, double width, bool bold) const {
        const double now = text_width(text, size, bold);
        return now > width ? size * width / now : size;
    }

private:
    Sheet& sheet_;
    double mm_;
};

std::vector<std::vector<Field>> rows_of(const TitleBlock& title, int number, int count) {
    std::vector<std::vector<Field>> rows(2);
    const auto add =
        [&](std::size_t row, const char* caption, const std::string& text, double share) {
            if (!text.empty()) {
                rows[row].push_back({caption, text, share});
            }
        };
    add(0, "drawn up by", title.author, 5.0);
    add(0, "date", title.date, 3.0);
    add(0, "revision", title.revision, 2.0);
    add(0, "sheet", fmt::format("{} of {}", number, count), 2.0);
    add(1, "maker", title.maker, 5.0);
    add(1, "licence", title.licence, 3.0);
    add(1, "", title.invented ? "invented example" : "", 4.0);
    std::erase_if(rows, [](const std::vector<Field>& row) { return row.empty(); });
    return rows;
}

double height_of_block(const TitleBlock& title) {
    return title_height + row_height * static_cast<double>(rows_of(title, 1, 1).size());
}

void draw_title_block(
    const TitleBlock& title, const Sheet& sheet, double right, double bottom, Pen& pen) {
    const auto rows = rows_of(title, sheet.number, sheet.count);
    const double left = right - block_width;
    double y = bottom - height_of_block(title);
    pen.border(left, y, right, bottom);
    constexpr double inset = 2.0;
    pen.text("circuit diagram", left + inset, y + 2.5, 1.8, SheetText::Look::caption);
    pen.text(title.title,
             left + inset,
             y + title_height - 3.0,
             pen.fitting(title.title, 4.6, block_width - 2.0 * inset, true),
             SheetText::Look::bold);
    y += title_height;
    for (const std::vector<Field>& row : rows) {
        pen.rule(left, y, right, y);
        double shares = 0.0;
        for (const Field& field : row) {
            shares += field.share;
        }
        double x = left;
        for (const Field& field : row) {
            const double width = block_width * field.share / shares;
            if (x > left) {
                pen.rule(x, y, x, y + row_height);
            }
            pen.text(field.caption, x + inset, y + 2.5, 1.8, SheetText::Look::caption);
            pen.text(field.text,
                     x + inset,
                     y + (field.caption.empty() ? 4.8 : 6.0),
                     pen.fitting(field.text, 2.8, width - 2.0 * inset, false),
                     SheetText::Look::plain);
            x += width;
        }
        y += row_height;
    }
}

// ---- whole sheets ------------------------------------------------------------------------------

// What is drawn, frames and isolation lines with their texts included.
Box whole_extent(const Drawing& drawing, const std::vector<BlockFrame>& frames) {
    Box all = detail::extent_of(drawing);
    for (const BlockFrame& frame : frames) {
        all = joined(all, frame.name.box());
        for (const Box& box : frame.boxes) {
            all = joined(all, box);
        }
    }
    for (const IsolationLine& line : drawing.isolation) {
        all = joined(all, label_of(line).box);
        for (const Point& p : line.points) {
            all = joined(all, {p.x, p.y, p.x, p.y});
        }
    }
    return all;
}

Sheet plain_sheet(const Drawing& drawing, const SheetOptions& options) {
    Sheet sheet;
    sheet.drawing = drawing;
    sheet.marked_parts = options.marked_parts;
    sheet.marked_nets = options.marked_nets;
    sheet.frames = frames_of(drawing, options.frames);
    return sheet;
}

// The drawing alone; notes below it.
Sheet fitting_sheet(const Drawing& drawing, const SheetOptions& options) {
    Sheet sheet = plain_sheet(drawing, options);
    constexpr double size = 0.95;
    constexpr double line = 1.4;
    if (options.notes.empty()) {
        return sheet;
    }
    sheet.drawing.width = std::max(drawing.width, 30.0);
    double y = drawing.height + 0.5;
    for (const NoteLine& note : note_lines(options.notes, size, sheet.drawing.width - 4.0)) {
        y += line;
        sheet.texts.push_back({note.text,
                               {note.first ? 2.0 : 2.0 + 1.3 * size, y},
                               Word::Anchor::start,
                               size,
                               SheetText::Look::plain});
    }
    sheet.drawing.height = std::ceil(y + 1.5);
    return sheet;
}

struct PaperPlan {
    double width = 0.0, height = 0.0;            // of the sheet
    double room_width = 0.0, room_height = 0.0;  // for the drawing
    double strip = 0.0;                          // below it
};

PaperPlan plan_of(PaperSize size, bool upright, const SheetOptions& options) {
    PaperPlan plan;
    plan.width = upright ? size.width : size.height;
    plan.height = upright ? size.height : size.width;
    const double beside = plan.width - 2.0 * rim - block_width - 3.0 * air;
    const auto lines = note_lines(options.notes, note_size, beside);
    plan.strip = std::max(height_of_block(options.title),
                          note_line * static_cast<double>(lines.size()) + 2.0);
    plan.room_width = plan.width - 2.0 * (rim + air);
    plan.room_height = plan.height - 2.0 * (rim + air) - plan.strip;
    return plan;
}

double step_on(const PaperPlan& plan, const Box& all) {
    return std::min({largest_step,
                     plan.room_width / std::max(1.0, all.right - all.left),
                     plan.room_height / std::max(1.0, all.bottom - all.top)});
}

Sheet paper_sheet(const Drawing& piece,
                  const PaperPlan& plan,
                  double step,
                  int number,
                  int count,
                  const SheetOptions& options) {
    Sheet sheet = plain_sheet(piece, options);
    sheet.number = number;
    sheet.count = count;
    sheet.mm_per_step = step;
    const Box all = whole_extent(sheet.drawing, sheet.frames);
    const double spare_x = plan.room_width / step - (all.right - all.left);
    const double spare_y = plan.room_height / step - (all.bottom - all.top);
    const Point by{std::round((rim + air) / step + spare_x / 2.0 - all.left),
                   std::round((rim + air) / step + spare_y / 2.0 - all.top)};
    detail::shift(sheet.drawing, by);
    for (BlockFrame& frame : sheet.frames) {
        frame.name.at = {frame.name.at.x + by.x, frame.name.at.y + by.y};
        for (Box& box : frame.boxes) {
            box = moved(box, by);
        }
    }
    sheet.drawing.width = plan.width / step;
    sheet.drawing.height = plan.height / step;
    Pen pen(sheet, step);
    pen.border(rim, rim, plan.width - rim, plan.height - rim);
    draw_title_block(options.title, sheet, plan.width - rim, plan.height - rim, pen);
    const double beside = plan.width - 2.0 * rim - block_width - 3.0 * air;
    const auto lines = number == 1 ? note_lines(options.notes, note_size, beside)
                       : options.notes.empty()
                           ? std::vector<NoteLine>()
                           : std::vector<NoteLine>{{"Notes: see sheet 1.", true}};
    double y = plan.height - rim - 2.0 - note_line * static_cast<double>(lines.size());
    for (const NoteLine& line : lines) {
        y += note_line;
        pen.text(line.text,
                 rim + air + (line.first ? 0.0 : 1.3 * note_size),
                 y - 0.8,
                 note_size,
                 SheetText::Look::plain);
    }
    return sheet;
}

}  // namespace

std::vector<Sheet> sheets_of(const Drawing& drawing,
                             const circuit::Circuit& circuit,
                             const SheetOptions& options) {
    if (options.paper == Paper::fit) {
        return {fitting_sheet(drawing, options)};
    }
    const PaperSize size = size_of(options.paper);
    const Box all = whole_extent(drawing, frames_of(drawing, options.frames));
    const PaperPlan flat = plan_of(size, false, options);
    const PaperPlan upright = plan_of(size, true, options);
    // The long side lies level, unless the drawing is much larger the other way.
    const PaperPlan& plan = step_on(upright, all) > 1.15 * step_on(flat, all) ? upright : flat;
    constexpr double room_for_flags = 16.0;  // steps
    std::vector<Drawing> pieces{drawing};
    if (step_on(plan, all) < smallest_step) {
        pieces = detail::cut_up(drawing,
                                circuit,
                                plan.room_width / smallest_step - room_for_flags,
                                plan.room_height / smallest_step - 4.0);
    }
    double step = largest_step;
    for (const Drawing& piece : pieces) {
        step = std::min(step, step_on(plan, whole_extent(piece, frames_of(piece, options.frames))));
    }
    std::vector<Sheet> sheets;
    const int count = static_cast<int>(pieces.size());
    for (int i = 0; i < count; ++i) {
        sheets.push_back(
            paper_sheet(pieces[static_cast<std::size_t>(i)], plan, step, i + 1, count, options));
    }
    return sheets;
}

}  // namespace etchback::drawing
