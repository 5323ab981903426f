// gallery-draw [PICTURES]: draws every circuit of the gallery. docs/gallery gets the SVGs and
// README.md with them and their figures; the folder PICTURES, if named, a PNG of each.
#include <fmt/format.h>

#include <exception>
#include <iostream>
#include <optional>

#include "base/file.h"
#include "circuit/domains.h"
#include "drawing/figures.h"
#include "drawing/svg.h"
#include "gallery/circuits.h"
#include "gallery/fewest_file.h"
#include "render/paper.h"

namespace {

using namespace etchback;
namespace fs = std::filesystem;

struct Drawn {
    gallery::Entry entry;
    drawing::DrawingFigures figures;
    gallery::Fewest fewest;
    std::optional<gallery::ByHand> by_hand;
};

Drawn draw_entry(const gallery::Entry& entry,
                 const std::map<std::string, gallery::Fewest>& fewest,
                 const std::map<std::string, gallery::ByHand>& by_hand,
                 const fs::path& root,
                 const fs::path& pictures) {
    const drawing::Drawing drawing = drawing::draw(entry.circuit, circuit::domains(entry.circuit));
    const std::string svg = drawing::to_svg(drawing, entry.circuit, {.title = entry.title});
    base::write_file_atomically(root / "docs/gallery" / (entry.id + ".svg"), svg);
    if (!pictures.empty()) {
        const auto png = render::png_from_svg(svg, 1600);
        if (!png) {
            throw std::runtime_error(base::to_string(png.errors().front()));
        }
        base::write_file_atomically(pictures / (entry.id + ".png"), *png);
    }
    Drawn drawn{entry, drawing::figures(drawing, entry.circuit), fewest.at(entry.id), {}};
    if (const auto found = by_hand.find(entry.id); found != by_hand.end()) {
        drawn.by_hand = found->second;
    }
    return drawn;
}

std::string row_of(const std::string& name,
                   const drawing::DrawingFigures& f,
                   const gallery::Fewest& fewest) {
    return fmt::format(
        "| {} | {} | {} | {} | {} | {} | {} | {} | {:.0f} | {:.0f} × {:.0f} "
        "| {:.0f} % | {:.0f} % | {} |\n",
        name,
        f.parts,
        f.nets,
        f.crossings,
        fewest.with_signs,
        fewest.all_wired,
        f.bends,
        f.steps,
        f.wire_length,
        f.width,
        f.height,
        100 * f.flow_share,
        100 * f.straight_share,
        f.overlaps);
}

std::string table_of(const std::vector<Drawn>& all) {
    std::string text =
        "| circuit | parts | nets | crossings | fewest, signs | fewest, wired | bends | steps "
        "aside "
        "| wire | sheet | with the flow | in line | overlaps |\n"
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n";
    drawing::DrawingFigures sum;
    gallery::Fewest least;
    double with_flow = 0.0, straight = 0.0;
    int equal = 0;
    int as_by_hand = 0;
    std::string reasons;
    for (const Drawn& one : all) {
        const drawing::DrawingFigures& f = one.figures;
        text += row_of(fmt::format("[{0}](#{0})", one.entry.id), f, one.fewest);
        sum.parts += f.parts;
        sum.nets += f.nets;
        sum.crossings += f.crossings;
        sum.bends += f.bends;
        sum.steps += f.steps;
        sum.wire_length += f.wire_length;
        sum.area += f.area;
        sum.overlaps += f.overlaps;
        least.with_signs += one.fewest.with_signs;
        least.all_wired += one.fewest.all_wired;
        with_flow += f.flow_share;
        straight += f.straight_share;
        const int needed = one.by_hand ? one.by_hand->crossings : one.fewest.with_signs;
        equal += f.crossings <= one.fewest.with_signs ? 1 : 0;
        as_by_hand += f.crossings <= needed ? 1 : 0;
        if (one.by_hand) {
            reasons += fmt::format(
                "\n- {}: {}; {}", one.entry.id, one.by_hand->crossings, one.by_hand->why);
        }
    }
    const auto count = static_cast<double>(all.size());
    text += fmt::format(
        "| **all {}** | {} | {} | {} | {} | {} | {} | {} | {:.0f} | {:.0f} steps² "
        "| {:.0f} % (mean) | {:.0f} % (mean) | {} |\n",
        all.size(),
        sum.parts,
        sum.nets,
        sum.crossings,
        least.with_signs,
        least.all_wired,
        sum.bends,
        sum.steps,
        sum.wire_length,
        sum.area,
        100 * with_flow / count,
        100 * straight / count,
        sum.overlaps);
    return text + fmt::format(
                      "\n{} of {} drawings have no more crossings than the fewest that are "
                      "known; {} no more than a\ncareful hand drawing, which keeps a shape that "
                      "every reader knows at the price of crossings\n"
                      "([by_hand.toml](by_hand.toml)):\n{}\n",
                      equal,
                      all.size(),
                      as_by_hand,
                      reasons);
}

std::string page_of(const std::vector<Drawn>& all) {
    std::string text =
        "# Gallery\n\n"
        "Circuits that every engineer knows, and the examples, drawn by `etchback draw` without a "
        "word about\nwhere anything should stand. `make gallery` makes this page and its pictures "
        "again. The netlists are in\n[circuits](circuits); they are written for this gallery.\n\n"
        "## Figures\n\n"
        "Lengths are in steps of the grid. What each figure counts is told in "
        "[src/drawing/figures.h](../../src/drawing/figures.h).\nThe fewest crossings come from "
        "[fewest.toml](fewest.toml): with signs for returns and supplies, and with\nevery net "
        "wired.\n\n";
    text += table_of(all) + "\n## Drawings\n";
    for (const Drawn& one : all) {
        text += fmt::format("\n### {}\n\n**{}.** {}\n\nSource: {}\n\n![{}]({}.svg)\n",
                            one.entry.id,
                            one.entry.title,
                            one.entry.story,
                            one.entry.source,
                            one.entry.title,
                            one.entry.id);
    }
    return text;
}

}  // namespace

int main(int count, char** words) {
    try {
        const fs::path root = ETCHBACK_SOURCE_DIR;
        const fs::path pictures = count > 1 ? words[1] : "";
        if (!pictures.empty()) {
            fs::create_directories(pictures);
        }
        const auto fewest = gallery::read_fewest(root / "docs/gallery/fewest.toml");
        const auto by_hand = gallery::read_by_hand(root / "docs/gallery/by_hand.toml");
        std::vector<Drawn> all;
        for (const gallery::Entry& entry : gallery::entries(root)) {
            if (!fewest.contains(entry.id)) {
                throw std::runtime_error(std::string("docs/gallery/fewest.toml lacks ") + entry.id +
                                         "; run gallery-search");
            }
            all.push_back(draw_entry(entry, fewest, by_hand, root, pictures));
            const drawing::DrawingFigures& f = all.back().figures;
            std::cout << fmt::format("{:28} crossings {:2} (fewest {:2}), overlaps {}\n",
                                     entry.id,
                                     f.crossings,
                                     all.back().fewest.with_signs,
                                     f.overlaps)
                      << std::flush;
        }
        base::write_file_atomically(root / "docs/gallery/README.md", page_of(all));
        std::cout << "\n" << table_of(all);
    } catch (const std::exception& failure) {
        std::cerr << failure.what() << "\n";
        return 1;
    }
    return 0;
}
