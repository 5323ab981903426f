// What layers add to a drawing that stands: the same drawing, and nothing on anything.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "circuit/domains.h"
#include "dossier/read.h"
#include "drawing/detail/frames.h"
#include "drawing/figures.h"
#include "drawing/random_circuit.h"
#include "drawing/sheet.h"
#include "drawing/svg.h"
#include "gallery/circuits.h"
#include "report/circuit_sheet.h"
#include "report/study.h"

namespace etchback::drawing {
namespace {

using circuit::Circuit;

const report::Data& tables() {
    static const report::Data loaded =
        *report::load_data(std::filesystem::path(ETCHBACK_SOURCE_DIR) / "data");
    return loaded;
}

// The examples and more than ten circuits of the gallery.
std::vector<const gallery::Entry*> entries() {
    static const std::vector<gallery::Entry> all = gallery::entries(ETCHBACK_SOURCE_DIR);
    std::vector<const gallery::Entry*> some;
    int others = 0;
    for (const gallery::Entry& entry : all) {
        const bool example = entry.file.string().find("examples") != std::string::npos;
        if (example || others++ % 4 == 0) {
            some.push_back(&entry);
        }
    }
    return some;
}

// Every part with a tolerance, as wide as they come, and every third in doubt.
Circuit with_wide_values(Circuit circuit) {
    for (std::size_t i = 0; i < circuit.parts.size(); ++i) {
        dossier::Part& said = circuit.parts[i].said;
        if (said.value && !said.tolerance) {
            said.tolerance = dossier::Amount{base::Quantity::of(20.0, base::Unit::percent), {}};
        }
        if (i % 3 == 0) {
            said.alternatives.push_back({"value", {"47k", {}}, {"smudged", {}}, 0.2});
        }
    }
    return circuit;
}

// Parts stand as they stood, each at most this far from its place in a drawing that is shifted as a
// whole, and keep their order.
constexpr double few_steps = 6.0;

void expect_same_drawing(const Drawing& plain, const Drawing& layered) {
    ASSERT_EQ(plain.parts.size(), layered.parts.size());
    double left = 1e9, top = 1e9;
    for (std::size_t i = 0; i < plain.parts.size(); ++i) {
        left = std::min(left, layered.parts[i].at.x - plain.parts[i].at.x);
        top = std::min(top, layered.parts[i].at.y - plain.parts[i].at.y);
    }
    for (std::size_t i = 0; i < plain.parts.size(); ++i) {
        EXPECT_EQ(plain.parts[i].orientation, layered.parts[i].orientation);
        EXPECT_EQ(plain.parts[i].symbol, layered.parts[i].symbol);
        EXPECT_LE(layered.parts[i].at.x - plain.parts[i].at.x - left, few_steps) << "part " << i;
        EXPECT_LE(layered.parts[i].at.y - plain.parts[i].at.y - top, few_steps) << "part " << i;
    }
}

struct Plain {
    Circuit circuit;
    circuit::Domains domains;
    Drawing drawing;
};
Plain plain_of(Circuit circuit, Standard standard = Standard::iec) {
    Plain plain{std::move(circuit), {}, {}};
    plain.domains = circuit::domains(plain.circuit);
    plain.drawing = draw(plain.circuit, plain.domains, {.standard = standard});
    return plain;
}

TEST(Layers, OfValuesLeaveTheDrawingAsItIsAndTouchNothing) {
    int texts = 0;
    for (const gallery::Entry* entry : entries()) {
        // The other manner of symbols where it is quick.
        for (const Standard standard : {Standard::iec, Standard::ansi}) {
            if (standard == Standard::ansi && entry->circuit.parts.size() > 12) {
                continue;
            }
            SCOPED_TRACE(entry->id);
            const Plain plain = plain_of(with_wide_values(entry->circuit), standard);
            Drawing layered = plain.drawing;
            const auto left =
                add_values(plain.circuit, {.tolerances = true, .doubts = true}, layered);
            EXPECT_LE(left.size(), 1U) << fmt::format("{}", fmt::join(left, ", "));
            expect_same_drawing(plain.drawing, layered);
            const DrawingFigures before = figures(plain.drawing, plain.circuit);
            const DrawingFigures after = figures(layered, plain.circuit);
            EXPECT_EQ(after.overlaps, 0) << fmt::format("{}", fmt::join(after.overlap_list, "\n"));
            EXPECT_EQ(after.crossings, before.crossings);
            EXPECT_EQ(after.bends, before.bends);
            const auto nets = nets_from_svg(to_svg(layered, plain.circuit));
            ASSERT_TRUE(static_cast<bool>(nets));
            EXPECT_EQ(*nets, nets_of(plain.circuit));
            for (const Label& label : layered.labels) {
                texts += label.text.find("±") != std::string::npos;
            }
        }
    }
    EXPECT_GT(texts, 100);
}

TEST(Layers, OfValuesTouchNothingInGeneratedCircuits) {
    for (const std::uint64_t seed : {11U, 12U, 13U}) {
        const Plain plain = plain_of(with_wide_values(
            circuit::build(drawing_test::random_parts(seed, 25), {}, drawing_test::catalogue())));
        Drawing layered = plain.drawing;
        add_values(plain.circuit, {.tolerances = true, .doubts = true}, layered);
        expect_same_drawing(plain.drawing, layered);
        const DrawingFigures after = figures(layered, plain.circuit);
        EXPECT_EQ(after.overlaps, 0) << fmt::format("{}", fmt::join(after.overlap_list, "\n"));
    }
}

TEST(Layers, ThatAreNotAskedForChangeNothing) {
    const Plain plain = plain_of(entries().front()->circuit);
    Drawing layered = plain.drawing;
    EXPECT_TRUE(add_values(plain.circuit, {}, layered).empty());
    EXPECT_EQ(layered, plain.drawing);
}

// ---- frames ------------------------------------------------------------------------------------

std::vector<Box> lines_of(const Box& b) {
    return {{b.left, b.top, b.right, b.top},
            {b.left, b.bottom, b.right, b.bottom},
            {b.left, b.top, b.left, b.bottom},
            {b.right, b.top, b.right, b.bottom}};
}

Box at(const PlacedPart& part) {
    const Box& b = part.symbol.box;
    return {b.left + part.at.x, b.top + part.at.y, b.right + part.at.x, b.bottom + part.at.y};
}

void expect_clear(const BlockFrame& frame, const Drawing& drawing) {
    ASSERT_EQ(frame.boxes.size(), 1U);
    std::vector<Box> solid;
    for (const PlacedPart& part : drawing.parts) {
        solid.push_back(at(part));
    }
    for (const Label& label : drawing.labels) {
        solid.push_back(label.box);
    }
    for (const NetSign& sign : drawing.signs) {
        solid.push_back(sign.box);
    }
    for (const Box& box : solid) {
        EXPECT_FALSE(frame.name.box().overlaps(box)) << frame.name.text;
        for (const Box& line : lines_of(frame.boxes.front())) {
            EXPECT_FALSE(box.overlaps(line)) << "a line of the frame of " << frame.name.text;
        }
    }
    for (const Wire& wire : drawing.wires) {
        for (const Segment& s : wire.segments) {
            const Box run{std::min(s.a.x, s.b.x),
                          std::min(s.a.y, s.b.y),
                          std::max(s.a.x, s.b.x),
                          std::max(s.a.y, s.b.y)};
            EXPECT_FALSE(frame.name.box().overlaps(run)) << "a wire through " << frame.name.text;
        }
    }
}

TEST(Layers, OfTheExamplesAllTogetherTouchNothing) {
    std::size_t framed = 0;
    for (const char* name : {"henhouse-lamp", "seedling-driver", "sewing-adapter"}) {
        SCOPED_TRACE(name);
        const auto folder = std::filesystem::path(ETCHBACK_SOURCE_DIR) / "examples" / name;
        const auto dossier = dossier::read_folder(folder, tables().catalogue);
        ASSERT_TRUE(dossier);
        report::Study study = report::derive(*dossier, tables());
        study.sheet_words.show({"tolerances", "doubts", "voltages", "blocks"});
        const report::DrawnCircuit drawn = report::drawn_circuit(study);
        EXPECT_EQ(figures(drawn.drawing, study.circuit).overlaps, 0);
        expect_same_drawing(study.drawing, drawn.drawing);
        const auto frames = detail::frames_of(drawn.drawing, drawn.frames);
        framed += frames.size();
        for (std::size_t i = 0; i < frames.size(); ++i) {
            expect_clear(frames[i], drawn.drawing);
            for (std::size_t j = 0; j < i; ++j) {
                EXPECT_FALSE(frames[i].boxes[0].overlaps(frames[j].boxes[0]));
                EXPECT_FALSE(frames[i].name.box().overlaps(frames[j].name.box()));
                for (const Box& line : lines_of(frames[j].boxes[0])) {
                    EXPECT_FALSE(frames[i].name.box().overlaps(line)) << frames[i].name.text;
                }
            }
        }
    }
    EXPECT_GE(framed, 3U);
}

}  // namespace
}  // namespace etchback::drawing
