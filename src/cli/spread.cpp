#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>
#include <ostream>

#include "base/text.h"
#include "cli/campaign_work.h"
#include "cli/text_table.h"
#include "report/behaviour_json.h"
#include "report/behaviour_run.h"
#include "report/ticks.h"

namespace etchback::cli {
namespace {

using behaviour::SpreadFigure;
using nlohmann::ordered_json;

constexpr double worth_naming = 0.05;  // of the variance
constexpr std::size_t most_named = 3;

struct SpreadWords {
    CampaignWords campaign;
    behaviour::SpreadOptions options;
};

// "R9.value 61 %, T1.leakage 22 %".
std::string shares_text(const SpreadFigure& figure) {
    std::vector<std::string> named;
    for (const SpreadFigure::Share& share : figure.shares) {
        if (named.size() < most_named && share.of_variance >= worth_naming) {
            named.push_back(fmt::format("{} {:.0f} %", share.parameter, 100.0 * share.of_variance));
        }
    }
    return fmt::format("{}", fmt::join(named, ", "));
}

void print(const behaviour::SpreadCampaign& campaign, const std::string& name, std::ostream& out) {
    out << name << ": " << campaign.samples << " samples of all tolerances, seed " << campaign.seed;
    out << (campaign.failed > 0 ? fmt::format("; {} of them failed\n", campaign.failed) : "\n");
    std::vector<std::vector<std::string>> rows = {{"Figure",
                                                   "nominal",
                                                   "5 % below",
                                                   "half below",
                                                   "95 % below",
                                                   "least",
                                                   "largest",
                                                   "because of"}};
    for (const SpreadFigure& figure : campaign.figures) {
        const auto text = [&](double value) {
            return report::value_text(value, figure.nominal.unit, 0.0, 3);
        };
        rows.push_back(
            {figure.nominal.title + (figure.nominal.note.empty() ? "" : ", " + figure.nominal.note),
             text(figure.nominal.value),
             text(figure.p05),
             text(figure.p50),
             text(figure.p95),
             text(figure.least),
             text(figure.largest),
             shares_text(figure)});
    }
    out << '\n' << text_table(rows);
    out << "\nSimulated from the dossier, not measured: only the bench shows what the item does.\n";
}

ordered_json json_of(const SpreadFigure& figure) {
    ordered_json shares = ordered_json::array();
    for (const SpreadFigure::Share& share : figure.shares) {
        shares.push_back({{"parameter", share.parameter}, {"of_variance", share.of_variance}});
    }
    return {{"nominal", report::json_of(figure.nominal)},
            {"p05", figure.p05},
            {"p50", figure.p50},
            {"p95", figure.p95},
            {"least", figure.least},
            {"largest", figure.largest},
            {"shares", std::move(shares)}};
}

std::string json_text(const behaviour::SpreadCampaign& campaign) {
    ordered_json json = {{"samples", campaign.samples},
                         {"failed", campaign.failed},
                         {"seed", campaign.seed},
                         {"figures", ordered_json::array()}};
    for (const SpreadFigure& figure : campaign.figures) {
        json["figures"].push_back(json_of(figure));
    }
    return json.dump(2, ' ', false, ordered_json::error_handler_t::replace) + '\n';
}

void run_campaign(const SpreadWords& words, Context& context) {
    const auto ranks = behaviour::open_ranks();
    if (!ranks) {
        fail(context, ranks.errors());
        return;
    }
    const auto loaded = load_with_nets(words.campaign.on.folder, context);
    if (!loaded) {
        return;
    }
    const auto data = report::load_simulation_data(loaded->data);
    if (!data) {
        fail(context, data.errors());
        return;
    }
    LongWork work(context);
    const auto campaign =
        behaviour::run_spread(circuit::build(loaded->dossier, loaded->data.catalogue),
                              loaded->dossier,
                              data->types,
                              *data->tables,
                              words.options,
                              campaign_options(words.campaign, ranks->get(), work));
    work.clear();
    if (!campaign) {
        fail(context, campaign.errors());
        return;
    }
    const bool whole = campaign->samples == words.options.samples;
    context.status = whole && campaign->failed == 0 ? done : not_in_order;
    if (!speaks(ranks->get())) {
        return;
    }
    if (words.campaign.on.json) {
        context.out << json_text(*campaign);
    } else {
        print(*campaign, loaded->dossier.item.name.value, context.out);
    }
    if (!whole) {
        tell_how_to_go_on(
            "spread", words.campaign, campaign->samples, words.options.samples, context);
    }
}

}  // namespace

void add_spread(CLI::App& app, Context& context) {
    CLI::App* command = app.add_subcommand(
        "spread", "All tolerances together, sampled: how far the figures spread, and why");
    const auto words = std::make_shared<SpreadWords>();
    add_campaign_options(*command, words->campaign);
    command->add_option("--samples", words->options.samples, "how many circuits to draw by lot")
        ->check(CLI::Range(2, 1000000).description(""))
        ->type_name("N")
        ->capture_default_str();
    command
        ->add_option("--seed", words->options.seed, "the lot; the same seed gives the same figures")
        ->type_name("S")
        ->capture_default_str();
    command->add_flag("--assumed",
                      words->options.assumed,
                      "draw also what the dossier does not give, within its usual range");
    command->footer(
        "Draws every value within its tolerance and simulates normal use. Shows quantiles of each\n"
        "figure and whose tolerance they come from. With --assumed the parameters that a model "
        "needs\n"
        "and the dossier does not give are drawn too: that shows how much the guesses matter.\n"
        " Ctrl-C and --journal as for faults; mpirun -n N etchback spread DOSSIER works too.\n"
        "\n"
        "Examples:\n"
        "  etchback spread my-charger\n"
        "  etchback spread my-charger --samples 1000 --seed 7 --journal spread.journal");
    command->callback([words, &context] { run_campaign(*words, context); });
}

}  // namespace etchback::cli
