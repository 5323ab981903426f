// How the item works and what each part is there for, for page and paper.
#include <fmt/format.h>

#include <cmath>

#include "report/detail/page.h"
#include "report/detail/words.h"

namespace etchback::report::detail {

namespace {

std::vector<Link> links_of(const std::vector<circuit::PartId>& parts, const Study& study) {
    std::vector<Link> links;
    for (const circuit::PartId part : parts) {
        links.push_back(part_link(study.circuit[part].name));
    }
    return links;
}

// The outcome of normal use, if there is one that ran.
const behaviour::Outcome* normal_use(const Study& study) {
    if (!study.behaviour) {
        return nullptr;
    }
    for (const behaviour::Outcome& outcome : study.behaviour->outcomes) {
        if (outcome.scenario.id == "normal" && outcome.ending == behaviour::Ending::reached) {
            return &outcome;
        }
    }
    return nullptr;
}

// The sum of the figures; nothing where one of them is not there.
std::optional<double> simulated_sum(const std::vector<std::string>& ids,
                                    const behaviour::Outcome& outcome) {
    std::optional<double> sum;
    for (const std::string& id : ids) {
        std::optional<double> one;
        for (const behaviour::FigureRow& row : outcome.figures) {
            if (row.id == id || (id.ends_with('.') && row.id.rfind(id, 0) == 0)) {
                one = row.value;
                break;
            }
        }
        if (!one) {
            return std::nullopt;
        }
        sum = sum.value_or(0.0) + *one;
    }
    return sum;
}

HowFigure view_of(const blocks::BlockFigure& of, const behaviour::Outcome* run) {
    const base::Figure& f = of.figure;
    HowFigure view;
    view.title = f.title;
    view.value = base::to_engineering(f.value, f.unit);
    view.worked = f.worked;
    view.source = f.source;
    view.assumed = f.assumed;
    if (of.low != of.high) {
        view.spread = fmt::format("{} to {}",
                                  base::to_engineering(of.low, f.unit),
                                  base::to_engineering(of.high, f.unit));
    }
    for (const std::string& part : f.parts) {
        view.parts.push_back(part_link(part));
    }
    const auto simulated = run != nullptr ? simulated_sum(of.simulated, *run) : std::nullopt;
    if (simulated) {
        view.simulated = base::to_engineering(*simulated, f.unit);
        if (f.value != 0.0) {
            view.difference = fmt::format("{:+.0f}\u00a0%", 100.0 * (*simulated / f.value - 1.0));
        }
    }
    return view;
}

}  // namespace

void add_blocks(Page& page, const Study& study) {
    const behaviour::Outcome* run = normal_use(study);
    for (const blocks::Stage& stage : study.stages) {
        HowStage how{stage.title, {}};
        for (const blocks::Block& block : study.blocks.blocks) {
            if (block.stage == stage.id && !(block.sentences.empty() && block.remarks.empty())) {
                how.blocks.push_back({block.title,
                                      links_of(block.parts(), study),
                                      block.sentences,
                                      block.remarks,
                                      block.cautions});
            }
        }
        if (!how.blocks.empty()) {
            page.how.push_back(std::move(how));
        }
    }
    for (const blocks::Block& block : study.blocks.blocks) {
        for (const blocks::BlockFigure& figure : block.figures) {
            page.how_figures.push_back(view_of(figure, run));
            page.how_simulated = page.how_simulated || !page.how_figures.back().simulated.empty();
        }
    }
    for (std::size_t i = 0; i < study.blocks.roles.size(); ++i) {
        const blocks::Role& role = study.blocks.roles[i];
        if (role.block >= 0) {
            page.roles.push_back({part_link(study.circuit.parts[i].name),
                                  study.circuit.parts[i].kind.title,
                                  role.text,
                                  study.blocks.blocks[static_cast<std::size_t>(role.block)].title});
        }
    }
    page.unexplained = links_of(study.blocks.unexplained, study);
}

}  // namespace etchback::report::detail
