// How the item works and what each part is there for, for page and paper.
#include <fmt/format.h>

#include "report/detail/page.h"
#include "report/detail/words.h"
#include "report/explanation.h"

namespace etchback::report::detail {

namespace {

std::vector<Link> links_of(const std::vector<circuit::PartId>& parts, const Study& study) {
    std::vector<Link> links;
    for (const circuit::PartId part : parts) {
        links.push_back(part_link(study.circuit[part].name));
    }
    return links;
}

HowFigure view_of(const FigureBeside& beside) {
    const blocks::BlockFigure& of = *beside.closed;
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
    view.simulated = in_words(beside);
    view.scenario = beside.scenario;
    return view;
}

HowEvents view_of(const StageEvents& events) {
    HowEvents view{events.lead, {}, events.outcome, {}};
    for (const EventLine& line : events.lines) {
        view.lines.push_back({base::to_engineering(line.t_s, base::Unit::second), line.text});
    }
    if (events.more > 0) {
        view.more = fmt::format("And {} more: see the run itself.", events.more);
    }
    return view;
}

HowBlock view_of(const BlockTold& told, const Study& study) {
    const blocks::Block& block = *told.block;
    return {block.title,
            links_of(block.parts(), study),
            block.sentences,
            block.remarks,
            block.cautions,
            told.simulated,
            told.doubts};
}

HowStage view_of(const StageTold& told, const Study& study) {
    HowStage stage{told.title, {}, {}};
    for (const BlockTold& block : told.blocks) {
        if (!block.block->sentences.empty() || !block.block->remarks.empty()) {
            stage.blocks.push_back(view_of(block, study));
        }
    }
    for (const StageEvents& events : told.events) {
        stage.events.push_back(view_of(events));
    }
    return stage;
}

}  // namespace

void add_blocks(Page& page, const Study& study) {
    const auto told = explained(study);
    for (const StageTold& stage : told) {
        if (!stage.empty()) {
            page.how.push_back(view_of(stage, study));
        }
        for (const BlockTold& block : stage.blocks) {
            for (const FigureBeside& figure : block.figures) {
                page.how_figures.push_back(view_of(figure));
                page.how_simulated = page.how_simulated || figure.simulated;
            }
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
