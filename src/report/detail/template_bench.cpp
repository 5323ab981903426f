// The bench: claims, readings and the power triangle with its picture.
#include "report/detail/template_items.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "report/detail/template_fields.h"

namespace etchback::report::detail {

using Data = kainjow::mustache::data;

namespace {

// The picture of the triangle: P along the bottom, N upright, S across with its words outside.
void add_picture(Fields& fields, const TriangleView& triangle) {
    constexpr double side = 190.0;
    constexpr double away = 9.0;
    const double run = side * triangle.power_share;
    const double rise = std::sqrt(std::max(0.0, side * side - run * run));
    const auto number = [&](const char* name, double value) {
        fields.text(name, fmt::format("{:.1f}", value));
    };
    number("run", run);
    number("base", rise);
    number("top", 0.0);
    number("view_height", rise + 48.0);
    number("half", run / 2.0);
    number("below", rise + 18.0);
    number("beside", run + away);
    number("middle", rise / 2.0 + 5.0);
    number("over_x", run / 2.0 - away * rise / side);
    number("over_y", rise / 2.0 - away * run / side);
}

}  // namespace

Data data_of(const ClaimView& claim) {
    return Fields()
        .text("quantity", claim.quantity)
        .text("claimed", claim.claimed)
        .text("where", claim.where)
        .text("note", claim.note)
        .list("reads", claim.reads, [](const ClaimRead& read) {
            return Data(Fields()
                            .text("text", read.text)
                            .text("verdict", read.verdict)
                            .flag("outside", read.verdict == "outside"));
        });
}

Data data_of(const ReadingView& reading) {
    return Fields()
        .text("group", reading.group)
        .text("quantity", reading.quantity)
        .text("value", reading.value)
        .text("uncertainty", reading.uncertainty)
        .text("meter", reading.meter)
        .text("conditions", reading.conditions)
        .text("note", reading.note)
        .list("between", reading.between, make<Link>);
}

Data data_of(const TriangleRow& row) {
    return Fields().text("quantity", row.quantity).text("value", row.value).text("how", row.how);
}

Data data_of(const TriangleView& triangle) {
    Fields fields;
    add_picture(fields, triangle);
    return fields.text("group", triangle.group)
        .text("verdict", triangle.verdict)
        .text("power", triangle.power)
        .text("non_active", triangle.non_active)
        .text("apparent", triangle.apparent)
        .flag("in_order", triangle.in_order)
        .flag("drawable", triangle.drawable)
        .list("rows", triangle.rows, make<TriangleRow>);
}

Data data_of(const ContinuityView& check) {
    return Fields()
        .text("beeps", check.beeps)
        .text("note", check.note)
        .list("between", check.between, make<Link>);
}

namespace {

Data data_of(const RecordRow& row) {
    return Fields()
        .text("title", row.title)
        .text("symbol", row.symbol)
        .text("value", row.value)
        .text("simulated", row.simulated)
        .text("difference", row.difference)
        .text("source", row.source)
        .flag("assumed", row.assumed);
}

Data data_of(const LimitTable& table) {
    return Fields()
        .text("title", table.title)
        .text("verdict", table.verdict)
        .text("rest", table.rest)
        .list("rows", table.rows, [](const std::vector<std::string>& row) {
            return Data(Fields()
                            .text("what", row[0])
                            .text("value", row[1])
                            .text("limit", row[2])
                            .text("verdict", row[3])
                            .flag("outside", row[3] == "outside"));
        });
}

Data data_of(const Chart& chart) {
    return Fields()
        .text("title", chart.title)
        .text("svg", charts_svg({chart}, {.standalone = false, .width_px = 460.0}));
}

}  // namespace

Data data_of(const RecordView& record) {
    return Fields()
        .text("anchor", record.anchor)
        .text("file", record.file)
        .text("what", record.what)
        .text("note", record.note)
        .text("how", record.how)
        .text("problem", record.problem)
        .text("limits", record.limits)
        .text("region", record.region)
        .flag("any_simulated", record.any_simulated)
        .texts("differences", record.differences)
        .texts("warnings", record.warnings)
        .list("rows",
              record.rows,
              [&](const RecordRow& row) {
                  Data data = data_of(row);
                  data.set("show_simulated", Data(record.any_simulated));
                  return data;
              })
        .list("tables", record.tables, [](const LimitTable& table) { return data_of(table); })
        .list("charts", record.charts, [](const Chart& chart) { return data_of(chart); });
}

}  // namespace etchback::report::detail
