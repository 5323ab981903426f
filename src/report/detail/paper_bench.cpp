// The bench on paper: claims, readings, the power triangle, recorded waveforms.
#include <fmt/format.h>

#include "report/detail/page.h"
#include "report/detail/paper_blocks.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using render::Paper;
using Kind = render::PaperBlock::Kind;
using Rows = std::vector<std::vector<std::string>>;

void paper_triangles(Paper& paper, const Page& page) {
    for (const TriangleView& triangle : page.triangles) {
        add_text(paper,
                 Kind::subheading,
                 "Power triangle" + (triangle.group.empty() ? "" : ", " + triangle.group));
        Rows rows = {{"Quantity", "Value (uncertainty k = 2)", "How"}};
        for (const TriangleRow& row : triangle.rows) {
            rows.push_back({row.quantity, row.value, row.how});
        }
        add_table(paper, std::move(rows), {3, 4, 2});
        if (!triangle.verdict.empty()) {
            add_spans(paper,
                      Kind::paragraph,
                      {{.text = triangle.in_order ? "Agrees. " : "Disagrees. ", .bold = true},
                       {.text = triangle.verdict}});
        }
    }
}

void paper_continuity(Paper& paper, const Page& page) {
    if (page.continuity.empty()) {
        return;
    }
    add_text(paper, Kind::subheading, "Continuity checks");
    Rows rows = {{"Between", "Tester", "Notes"}};
    for (const ContinuityView& check : page.continuity) {
        rows.push_back({names_of(check.between), check.beeps, check.note});
    }
    add_table(paper, std::move(rows), {3, 1, 4});
}

std::string read_of(const ClaimView& claim) {
    std::string text;
    for (const ClaimRead& read : claim.reads) {
        text += (text.empty() ? "" : "; ") + read.text +
                (read.verdict.empty() ? "" : ": " + read.verdict);
    }
    return text.empty() ? "not read" : text;
}

void add_figures(Paper& paper, const RecordView& record) {
    Rows rows = {{"Figure", "", "Recorded (k = 2)"}};
    if (record.any_simulated) {
        rows[0].insert(rows[0].end(), {"Simulated", "Difference"});
    }
    for (const RecordRow& row : record.rows) {
        rows.push_back({row.title, row.symbol, row.value});
        if (record.any_simulated) {
            rows.back().insert(rows.back().end(), {row.simulated, row.difference});
        }
    }
    add_table(
        paper,
        std::move(rows),
        record.any_simulated ? std::vector<double>{5, 1, 3, 2, 1.6} : std::vector<double>{5, 1, 3});
}

void add_limits(Paper& paper, const RecordView& record) {
    if (!record.limits.empty()) {
        add_text(paper, Kind::paragraph, "Harmonics: " + record.limits);
    }
    for (const LimitTable& table : record.tables) {
        Rows rows = {{table.title + ": " + table.verdict, "Recorded", "Limit", "Verdict"}};
        rows.insert(rows.end(), table.rows.begin(), table.rows.end());
        add_table(paper, std::move(rows), {4, 3, 2, 2});
    }
}

void add_record(Paper& paper, const RecordView& record) {
    add_text(
        paper,
        Kind::subheading,
        record.what.empty() ? record.file : first_upper(record.what) + " (" + record.file + ")");
    if (!record.problem.empty()) {
        add_text(paper, Kind::paragraph, "It could not be read. " + record.problem);
        return;
    }
    add_figures(paper, record);
    if (!record.region.empty()) {
        add_text(paper, Kind::paragraph, record.region);
    }
    add_limits(paper, record);
    for (const std::string& difference : record.differences) {
        add_text(paper, Kind::paragraph, difference);
    }
    for (const Chart& chart : record.charts) {
        render::PaperBlock block;
        block.kind = Kind::drawing;
        block.svg = charts_svg({chart}, {.width_px = 660.0});
        paper.blocks.push_back(std::move(block));
    }
    for (const std::string& warning : record.warnings) {
        add_text(paper, Kind::small, warning);
    }
}

}  // namespace

void paper_bench(Paper& paper, const Page& page) {
    if (page.claims.empty() && page.readings.empty() && page.continuity.empty() &&
        page.waveforms.empty() && page.records.empty()) {
        return;
    }
    add_text(paper, Kind::heading, "On the bench");
    if (!page.claims.empty()) {
        Rows rows = {{"Quantity", "Claimed", "Where", "Read"}};
        for (const ClaimView& claim : page.claims) {
            rows.push_back({claim.quantity,
                            claim.claimed,
                            claim.where + (claim.note.empty() ? "" : "; " + claim.note),
                            read_of(claim)});
        }
        add_table(paper, std::move(rows), {2, 2, 3, 3});
    }
    if (!page.readings.empty()) {
        Rows rows = {{"Quantity", "Value", "Uncertainty (k = 2)", "When", "Meter and notes"}};
        for (const ReadingView& reading : page.readings) {
            std::string quantity = reading.quantity;
            quantity += reading.between.empty() ? "" : ", " + names_of(reading.between);
            rows.push_back(
                {quantity,
                 reading.value,
                 reading.uncertainty,
                 joined(std::vector{reading.group, reading.conditions},
                        ", ",
                        [](auto t) { return t; }),
                 joined(std::vector{reading.meter, reading.note}, "; ", [](auto t) { return t; })});
        }
        add_table(paper, std::move(rows), {2.5, 1.6, 1.8, 2.2, 3});
    }
    for (const std::string& doubt : page.doubts) {
        add_text(paper, Kind::paragraph, doubt);
    }
    paper_triangles(paper, page);
    paper_continuity(paper, page);
    for (const RecordView& record : page.records) {
        add_record(paper, record);
    }
    if (!page.waveforms.empty()) {
        add_text(paper,
                 Kind::small,
                 "Waveforms on file: " + joined(page.waveforms, "; ", [](const Fact& fact) {
                     return fact.text.empty() ? fact.label : fact.label + ": " + fact.text;
                 }) + ".");
    }
}

}  // namespace etchback::report::detail
