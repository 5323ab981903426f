#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/file.h"
#include "base/text.h"
#include "blocks/compare.h"
#include "blocks/compare_consequences.h"
#include "blocks/missing.h"
#include "circuit/names.h"
#include "cli/command.h"
#include "cli/text_table.h"
#include "render/paper.h"
#include "report/comparison_svg.h"
#include "report/explanation_json.h"

namespace etchback::cli {
namespace {

struct CompareWork {
    OnDossier on;
    std::string other;
    std::vector<std::string> pictures;
    std::optional<drawing::Standard> standard;
};

struct View {
    circuit::Circuit found, reference;
    std::string found_title, reference_title;
    blocks::Comparison comparison;
};

std::string json_text(const View& view) {
    return report::json_of(view.comparison, view.found, view.reference, view.reference_title)
               .dump(2, ' ', false, nlohmann::json::error_handler_t::replace) +
           '\n';
}

void print(const View& view, std::ostream& out) {
    const blocks::Comparison& c = view.comparison;
    out << "Compared with: " << view.reference_title << "\n\n";
    if (c.differences.empty()) {
        out << "No difference: every part has its like, on like nets.\n";
        return;
    }
    for (std::size_t i = 0; i < c.differences.size(); ++i) {
        const blocks::Difference& d = c.differences[i];
        out << wrapped(fmt::format("{}. {}: {}.{}{}",
                                   i + 1,
                                   name_of(d.kind),
                                   d.words,
                                   d.consequence.empty() ? "" : " ",
                                   d.consequence));
    }
    out << '\n'
        << c.parts.size() << " parts of the reference have their like on the board. "
        << (c.proven()
                ? "No way to match the circuits shows fewer differences.\n"
                : fmt::format("The differences count {:.1f}; any matching counts at least {:.1f}: "
                              "another may show fewer.\n",
                              c.cost,
                              c.at_least));
}

std::optional<View> view_of(const CompareWork& work, Context& context) {
    const auto loaded = load_with_nets(work.on.folder, context);
    if (!loaded) {
        return std::nullopt;
    }
    View view;
    view.found = circuit::build(loaded->dossier, loaded->data.catalogue);
    view.found_title = loaded->dossier.item.name.value;
    if (!work.other.empty()) {
        const auto other = load_with_nets(work.other, context);
        if (!other) {
            return std::nullopt;
        }
        view.reference = circuit::build(other->dossier, other->data.catalogue);
        view.reference_title = other->dossier.item.name.value;
    } else if (loaded->dossier.reference) {
        view.reference =
            circuit::build(loaded->dossier.reference->parts, {}, loaded->data.catalogue);
        view.reference_title = loaded->dossier.reference->title.value;
    } else {
        fail(context,
             {{{.file = loaded->file.string()},
               "the dossier has no reference circuit to compare with",
               "write the known circuit under [reference], or name another dossier: etchback "
               "compare DOSSIER OTHER"}});
        return std::nullopt;
    }
    auto consequences = blocks::load_consequences(loaded->data.folder);
    if (!consequences) {
        fail(context, consequences.errors());
        return std::nullopt;
    }
    blocks::CompareOptions options;
    options.consequence = *std::move(consequences);
    view.comparison = blocks::compare(view.found, view.reference, options);
    blocks::name_empty_places(
        view.comparison, view.found, view.reference, loaded->dossier.parts, loaded->data.catalogue);
    blocks::tell_what_is_missing(
        view.comparison, view.reference, loaded->dossier, loaded->data.patterns);
    return view;
}

base::Result<std::string> bytes_for(const std::string& file, const std::string& svg) {
    const std::string suffix = base::lowered(std::filesystem::path(file).extension().string());
    constexpr int width_px = 2400;
    if (suffix == ".svg") {
        return svg;
    }
    return suffix == ".pdf" ? render::pdf_from_svg(svg) : render::png_from_svg(svg, width_px);
}

bool suffixes_known(const CompareWork& work, Context& context) {
    for (const std::string& file : work.pictures) {
        const std::string suffix = base::lowered(std::filesystem::path(file).extension().string());
        if (suffix != ".svg" && suffix != ".pdf" && suffix != ".png") {
            fail(context,
                 {{{},
                   "'" + file + "' does not say which kind of file to write",
                   "end its name in .svg, .pdf or .png"}});
            context.status = wrong_usage;
            return false;
        }
    }
    return true;
}

void run_compare(const CompareWork& work, Context& context) {
    if (!suffixes_known(work, context)) {
        return;
    }
    const auto view = view_of(work, context);
    if (!view) {
        return;
    }
    if (!work.pictures.empty()) {
        const std::string svg =
            report::comparison_svg(view->comparison,
                                   view->found,
                                   view->reference,
                                   {work.standard.value_or(drawing::Standard::iec),
                                    view->found_title, view->reference_title});
        for (const std::string& file : work.pictures) {
            const auto bytes = bytes_for(file, svg);
            if (!bytes) {
                fail(context, bytes.errors());
                return;
            }
            base::write_file_atomically(file, *bytes);
        }
    }
    if (work.on.json) {
        context.out << json_text(*view);
        return;
    }
    print(*view, context.out);
    for (const std::string& file : work.pictures) {
        context.out << "Wrote " << file << ".\n";
    }
}

}  // namespace

void add_compare(CLI::App& app, Context& context) {
    CLI::App* command =
        app.add_subcommand("compare", "What differs from a reference circuit or another dossier");
    const auto work = std::make_shared<CompareWork>();
    add_dossier_argument(*command, work->on);
    command
        ->add_option("other", work->other, "another dossier, in place of the dossier's reference")
        ->type_name("OTHER");
    command
        ->add_option("-o,--svg",
                     work->pictures,
                     "draw both side by side with their differences marked; the file's ending, "
                     ".svg, .pdf or .png, tells the kind; may be given more than once")
        ->type_name("FILE")
        ->expected(1)
        ->take_all();
    add_standard_option(*command, work->standard);
    command->footer(
        "Parts are matched by structure, kind and value; their names do not count.\n"
        "\n"
        "Examples:\n"
        "  etchback compare my-charger                        against its [reference]\n"
        "  etchback compare my-charger another-charger\n"
        "  etchback compare my-charger --svg differences.png");
    command->callback([work, &context] { run_compare(*work, context); });
}

}  // namespace etchback::cli
