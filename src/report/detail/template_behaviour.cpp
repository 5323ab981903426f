// Simulated scenarios as Mustache data.
#include <fmt/format.h>

#include "report/detail/page_behaviour.h"
#include "report/detail/template_fields.h"
#include "report/detail/template_items.h"
#include "report/detail/words.h"

namespace etchback::report::detail {
namespace {

using Data = kainjow::mustache::data;

// Sources of the story are parts, or words such as "supply" that lead nowhere.
Link link_of(const std::string& name, const Page& page) {
    for (const PartView& part : page.parts) {
        if (part.name == name) {
            return part_link(name);
        }
    }
    return words(name);
}

Data data_of_figure(const SimulatedFigure& figure, bool show_read) {
    return Fields()
        .text("title", figure.title)
        .text("value", figure.value)
        .text("note", figure.note)
        .text("read", figure.read)
        .text("difference", figure.difference)
        .flag("apart", figure.apart)
        .flag("show_read", show_read);
}

Data data_of_stress(const StressView& row, const Page& page) {
    return Fields()
        .data("about", data_of(link_of(row.part, page)))
        .text("what", row.what)
        .text("value", row.value)
        .text("rating", row.rating)
        .text("share", row.share)
        .text("basis", row.basis)
        .text("verdict", row.verdict)
        .flag("exceeded", row.exceeded)
        .flag("assumed", row.assumed);
}

Data data_of_story(const StoryView& line, const Page& page) {
    return Fields()
        .text("time", line.time)
        .data("who", data_of(link_of(line.who, page)))
        .text("text", line.text);
}

Data data_of_plot(const StyledPlot& plot, std::size_t number) {
    return Fields()
        .text("number", std::to_string(number))
        .flag("hint", number == 0)
        .text("title", plot.plot->title)
        .text("svg", plot_svg(*plot.plot, plot.style));
}

Data data_of_scenario(const ScenarioView& scenario,
                      const Page& page,
                      bool first,
                      std::size_t& plots) {
    const StressParts stress = parted(scenario.stress);
    const FigureParts figures = parted(scenario.figures);
    const auto stress_row = [&](const StressView& row) { return data_of_stress(row, page); };
    return Fields()
        .flag("first", first)
        .text("anchor", anchor("scenario", scenario.id))
        .text("title", scenario.title)
        .text("words", scenario.words)
        .text("supply", scenario.supply)
        .text("in_short", in_short(scenario))
        .text("steady", scenario.steady)
        .text("ending", scenario.ending)
        .flag("has_trouble", !scenario.ran_to_end)
        .texts("trouble", scenario.trouble)
        .flag("has_trouble", !scenario.ran_to_end)
        .list("plots",
              plots_of(scenario, false),
              [&](const StyledPlot& plot) { return data_of_plot(plot, plots++); })
        .list("figures",
              figures.main,
              [&](const SimulatedFigure& figure) {
                  return data_of_figure(figure, scenario.has_read);
              })
        .list("dissipations",
              figures.dissipations,
              [](const SimulatedFigure& figure) { return data_of_figure(figure, false); })
        .text("dissipation_count", counted(figures.dissipations.size(), "part", "parts"))
        .flag("has_read", scenario.has_read)
        .text("harmonics", scenario.harmonics)
        .text("stress_words", scenario.stress_words)
        .flag("has_stress", !scenario.stress.empty())
        .list("near", stress.near, stress_row)
        .list("far", stress.far, stress_row)
        .text("far_count", counted(stress.far.size(), "limit", "limits"))
        .list("story",
              scenario.story,
              [&](const StoryView& line) { return data_of_story(line, page); })
        .text("ledger", scenario.ledger)
        .flag("books_fit", scenario.books_fit);
}

}  // namespace

void add_behaviour(Data& data, const Page& page) {
    const BehaviourView& view = page.behaviour;
    Fields fields;
    std::size_t plots = 0;
    bool first = true, any_read = false;
    fields.list("scenarios", view.scenarios, [&](const ScenarioView& scenario) {
        any_read = any_read || scenario.has_read;
        const Data one = data_of_scenario(scenario, page, first, plots);
        first = false;
        return one;
    });
    data.set("has_behaviour", Data(page.has_behaviour));
    data.set("has_scenarios", Data(!view.scenarios.empty()));
    data.set("has_why_not", Data(!view.why_not.empty()));
    data.set("why_not", view.why_not);
    data.set("any_read", Data(any_read));
    const Data own = fields;
    data.set("scenarios", *own.get("scenarios"));
    Data assumed(Data::type::list);
    for (const AssumedView& one : view.assumed) {
        assumed.push_back(Fields()
                              .data("about", data_of(link_of(one.part, page)))
                              .text("parameter", one.parameter)
                              .text("value", one.value)
                              .text("source", one.source));
    }
    data.set("assumed_values", assumed);
    data.set("has_assumed_values", Data(!view.assumed.empty()));
    data.set("assumed_count", counted(view.assumed.size(), "assumed value", "assumed values"));
    Data left_out(Data::type::list);
    for (const std::string& words : view.left_out) {
        left_out.push_back(Data(words));
    }
    data.set("left_out", left_out);
    data.set("has_left_out", Data(!view.left_out.empty()));
}

}  // namespace etchback::report::detail
