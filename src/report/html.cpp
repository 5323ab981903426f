#include <kainjow/mustache.hpp>

#include "base/file.h"
#include "drawing/svg.h"
#include "report/circuit_sheet.h"
#include "report/comparison_svg.h"
#include "report/detail/board_section.h"
#include "report/detail/digest.h"
#include "report/detail/page.h"
#include "report/detail/page_behaviour.h"
#include "report/detail/photos.h"
#include "report/detail/template_data.h"
#include "report/plot_data.h"
#include "report/report.h"

namespace etchback::report {
namespace {

namespace fs = std::filesystem;
using kainjow::mustache::mustache;
using kainjow::mustache::partial;

// In Mustache data and partials share one set of names; hence "section-".
constexpr const char* partials[] = {"section-head",
                                    "section-findings",
                                    "section-circuit",
                                    "section-board",
                                    "section-photos",
                                    "section-parts",
                                    "section-how",
                                    "section-against",
                                    "section-figures",
                                    "section-behaviour",
                                    "section-bench",
                                    "section-end",
                                    "link"};
constexpr const char* style_files[] = {
    "report.css", "drawing.css", "board.css", "plot.css", "chart.css", "print.css"};
constexpr const char* script_files[] = {"page.js", "choose.js", "zoom.js", "find.js", "plot.js"};

constexpr double wide_proportion = 1.25;  // a circuit wider than this is printed across the page

template <typename Names>
std::string joined_files(const fs::path& folder, const Names& names) {
    std::string all;
    for (const char* name : names) {
        all += base::read_file(folder / name);
    }
    return all;
}

void add_circuit(kainjow::mustache::data& data, const Study& study) {
    if (study.against) {
        ComparisonSvg titles;
        titles.standard = study.sheet_words.standard;
        titles.found_title = study.dossier.item.name.value;
        titles.reference_title = study.dossier.reference->title.value;
        data.set("against_svg",
                 comparison_svg(
                     study.against->comparison, study.circuit, study.against->reference, titles));
    }
    const DrawnCircuit drawn = drawn_circuit(study);
    const drawing::Sheet sheet = on_screen(drawn, study.circuit);
    data.set("svg",
             drawing::to_svg(sheet,
                             study.circuit,
                             {.standalone = false,
                              .dark = false,
                              .title = "Circuit of " + study.dossier.item.name.value}));
    kainjow::mustache::data notes(kainjow::mustache::data::type::list);
    for (const std::string& note : drawn.notes) {
        notes.push_back(kainjow::mustache::data("text", note));
    }
    data.set("drawing_notes", notes);
    data.set("has_drawing_notes", kainjow::mustache::data(!drawn.notes.empty()));
    data.set("nothing_by_hand", kainjow::mustache::data(study.dossier.drawing.parts.empty()));
    data.set("wide",
             kainjow::mustache::data(sheet.drawing.width > wide_proportion * sheet.drawing.height));
    data.set("has_isolation_line", kainjow::mustache::data(!sheet.drawing.isolation.empty()));
}

void add_files(kainjow::mustache::data& data, const fs::path& folder) {
    data.set("css", joined_files(folder, style_files));
    const std::string script = joined_files(folder, script_files);
    data.set("script", script);
    data.set("script_hash", detail::script_hash(script));
    for (const char* name : partials) {
        const std::string text = base::read_file(folder / (std::string(name) + ".mustache"));
        data.set(name, kainjow::mustache::data(partial([text] { return text; })));
    }
}

}  // namespace

base::Result<std::string> to_html(const Study& study,
                                  const Data& data,
                                  const std::filesystem::path& dossier_folder) {
    const fs::path folder = data.folder / "report";
    const detail::Page page = detail::page_of(study);
    kainjow::mustache::data values =
        detail::template_data(page, detail::load_photos(page.photos, dossier_folder));
    values.set("facts_json", detail::facts_json(page));
    detail::add_behaviour(values, page);
    values.set("plots_json", plot_data_json(detail::plots_of(page.behaviour)));
    add_circuit(values, study);
    if (const base::Errors errors = detail::add_board(values, study); !errors.empty()) {
        return errors;
    }
    add_files(values, folder);
    mustache main_template(base::read_file(folder / "report.mustache"));
    const std::string html = main_template.is_valid() ? main_template.render(values) : "";
    if (!main_template.is_valid()) {
        return base::Error{
            .place = {.file = (folder / "report.mustache").string()},
            .what = "the page's template is broken: " + main_template.error_message(),
            .todo = "put the files of data/report back as they came"};
    }
    return html;
}

}  // namespace etchback::report
