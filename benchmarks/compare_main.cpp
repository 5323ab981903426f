// compare_drawings: our drawings of the gallery beside those of Graphviz, measured by the same
// code.
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <exception>
#include <iostream>
#include <optional>

#include "circuit/domains.h"
#include "drawing/detail/wire_flow.h"
#include "drawing/figures.h"
#include "gallery/circuits.h"
#include "graphviz_drawing.h"

namespace {

using namespace etchback;

struct Row {
    int crossings = 0, bends = 0, overlaps = 0;
    double length = 0.0, area = 0.0;
    drawing::detail::FlowLength flow;

    Row& operator+=(const Row& other) {
        crossings += other.crossings;
        bends += other.bends;
        overlaps += other.overlaps;
        length += other.length;
        area += other.area;
        flow.with += other.flow.with;
        flow.against += other.flow.against;
        return *this;
    }
};

Row measured(const drawing::Drawing& drawing, const circuit::Circuit& circuit) {
    const drawing::DrawingFigures f = drawing::figures(drawing, circuit);
    return {f.crossings,
            f.bends,
            f.overlaps,
            f.wire_length,
            f.area,
            drawing::detail::flow_length(drawing, circuit, drawing::detail::wires_by_net(drawing))};
}

// Graphviz in a process of its own, since its router may end the process: then again with a little
// more room between the parts. Nothing if it ends with any room.
std::optional<Row> graphviz_row(const circuit::Circuit& circuit,
                                const drawing::Drawing& ours,
                                benchmarks::GraphvizManner manner) {
    for (int more = 0; more < 400; ++more) {
        manner.spread = 1.0 + 0.01 * more;
        manner.point = 0.4 * (1 + more % 5);
        int ends[2];
        if (pipe(ends) != 0) {
            throw std::runtime_error("no pipe");
        }
        const pid_t child = fork();
        if (child == 0) {
            dup2(open("/dev/null", O_WRONLY), STDERR_FILENO);
            const Row row = measured(benchmarks::graphviz_drawing(circuit, ours, manner), circuit);
            const bool written = write(ends[1], &row, sizeof row) == sizeof row;
            _exit(written ? 0 : 1);
        }
        close(ends[1]);
        Row row;
        const bool whole = read(ends[0], &row, sizeof row) == sizeof row;
        close(ends[0]);
        int status = 0;
        waitpid(child, &status, 0);
        if (whole && status == 0) {
            return row;
        }
    }
    return std::nullopt;
}

std::string words_of(const Row& row) {
    const double all = row.flow.with + row.flow.against;
    return fmt::format("{:4} {:5} {:6.0f} {:7.0f} {:4.0f} % {:3}",
                       row.crossings,
                       row.bends,
                       row.length,
                       row.area,
                       all > 0 ? 100 * row.flow.with / all : 100.0,
                       row.overlaps);
}

struct Column {
    std::string title;
    benchmarks::GraphvizManner manner;
    Row sum;
};

int run() {
    std::vector<Column> columns{
        {"Graphviz, star", {.star = true}, {}},
        {"Graphviz, chain", {.star = false}, {}},
        {"Graphviz, star, flow given", {.star = true, .directed = true}, {}}};
    std::string titles = fmt::format("{:26}{:^38}", "", "Etchback");
    std::string heads = fmt::format("{:26}", "");
    for (std::size_t i = 0; i <= columns.size(); ++i) {
        titles += i < columns.size() ? fmt::format("{:^38}", columns[i].title) : "";
        heads += fmt::format(
            "{:>4} {:>5} {:>6} {:>7} {:>6} {:>3}  ", "x", "bends", "wire", "area", "flow", "on");
    }
    std::cout
        << "x: crossings; wire, area: in grid steps; flow: share of horizontal wires outside\n"
           "returns that runs from left to right; on: overlaps (wires through parts, two nets\n"
           "along each other or touching)\n\n"
        << titles << "\n"
        << heads << "\n";
    Row ours;
    for (const gallery::Entry& entry : gallery::entries(ETCHBACK_SOURCE_DIR)) {
        const circuit::Circuit& circuit = entry.circuit;
        const drawing::Drawing drawn = drawing::draw(circuit, circuit::domains(circuit));
        const Row row = measured(drawn, circuit);
        std::cout << fmt::format("{:26}{}", entry.id, words_of(row));
        std::vector<std::optional<Row>> theirs;
        for (const Column& column : columns) {
            theirs.push_back(graphviz_row(circuit, drawn, column.manner));
            std::cout << "  "
                      << (theirs.back() ? words_of(*theirs.back())
                                        : fmt::format("{:36}", "ends itself with any room"));
        }
        std::cout << "\n" << std::flush;
        if (std::all_of(theirs.begin(), theirs.end(), [](const auto& one) { return !!one; })) {
            ours += row;
            for (std::size_t i = 0; i < columns.size(); ++i) {
                columns[i].sum += *theirs[i];
            }
        }
    }
    std::cout << "Circuits that Graphviz does not draw in every manner are in no sum.\n";
    std::cout << fmt::format("{:26}{}", "all", words_of(ours));
    for (const Column& column : columns) {
        std::cout << "  " << words_of(column.sum);
    }
    std::cout << "\n";
    return 0;
}

}  // namespace

int main() {
    try {
        return run();
    } catch (const std::exception& failure) {
        std::cerr << failure.what() << "\n";
        return 1;
    }
}
