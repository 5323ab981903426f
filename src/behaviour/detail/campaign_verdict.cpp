#include "behaviour/detail/campaign_verdict.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/quantity.h"
#include "behaviour/detail/scenario_limits.h"

namespace etchback::behaviour::detail {

namespace {

constexpr double noticeable = 0.05;
constexpr double short_times = 10.0;
constexpr double clearly_more = 1.05;

const StoryLine* first_told(const Look& look, std::string_view key) {
    const auto found = std::ranges::find(look.story, key, &StoryLine::key);
    return found == look.story.end() ? nullptr : &*found;
}

bool had_power(const Look::Load& load) {
    return std::abs(load.volts * load.amps) > 0.0;
}

bool lost(const Look::Load& before, const Look::Load& after) {
    return std::abs(after.volts * after.amps) < noticeable * std::abs(before.volts * before.amps);
}

bool all_lost(const Look& healthy, const Look& faulty) {
    bool any = false;
    for (std::size_t i = 0; i < healthy.loads.size(); ++i) {
        if (!had_power(healthy.loads[i])) {
            continue;
        }
        any = true;
        if (!lost(healthy.loads[i], faulty.loads[i])) {
            return false;
        }
    }
    return any;
}

// Change of a mean as a share of what it was; of nothing, nothing can be said.
double change(double before, double after) {
    return std::abs(before) > 1e-9 ? (after - before) / std::abs(before) : 0.0;
}

std::string change_words(std::string_view what, double share) {
    if (std::abs(share) < noticeable) {
        return {};
    }
    if (share > 9.0) {
        return fmt::format("{} is {:.0f} times as large", what, share + 1.0);
    }
    return fmt::format(
        "{} {} by {:.0f} %", what, share > 0.0 ? "rises" : "falls", 100.0 * std::abs(share));
}

std::string load_words(const Look::Load& before, const Look::Load& after) {
    if (had_power(before) && lost(before, after)) {
        return fmt::format("{} gets no power any more. ", before.part);
    }
    const std::string current = change_words("current", change(before.amps, after.amps));
    const std::string voltage = change_words("voltage", change(before.volts, after.volts));
    if (current.empty() && voltage.empty()) {
        const std::string swing =
            change_words("RMS value of the current", change(before.rms_amps, after.rms_amps));
        return swing.empty() ? "" : fmt::format("{}: {} at the same mean. ", before.part, swing);
    }
    return fmt::format("{}: {}{}{}. ",
                       before.part,
                       current,
                       current.empty() || voltage.empty() ? "" : ", ",
                       voltage);
}

std::vector<StressRow> newly_exceeded(const Look& healthy, const Look& faulty) {
    std::vector<StressRow> fresh;
    for (const StressRow& row : faulty.exceeded) {
        const auto before = std::ranges::find_if(healthy.exceeded, [&](const StressRow& other) {
            return other.part == row.part && other.kind == row.kind;
        });
        if (before == healthy.exceeded.end() || row.value > clearly_more * before->value) {
            fresh.push_back(row);
        }
    }
    return fresh;
}

std::string stress_words(const std::vector<StressRow>& rows) {
    std::string words;
    for (const StressRow& row : rows) {
        words += fmt::format("{}: {} {}, {:.3g} times its {}rating. ",
                             row.part,
                             words_for(row.kind),
                             base::to_engineering(row.value, row.unit),
                             row.share().value_or(0.0),
                             row.rating_assumed ? "usual " : "");
    }
    return words;
}

}  // namespace

Verdict judge(const Look& healthy, const Look& faulty) {
    if (!faulty.gave_up.empty()) {
        return {"not simulated", "The engine gave up: " + faulty.gave_up + "."};
    }
    std::string words;
    bool changed = false;
    for (std::size_t i = 0; i < healthy.loads.size(); ++i) {
        const std::string own = load_words(healthy.loads[i], faulty.loads[i]);
        changed = changed || !own.empty();
        words += own;
    }
    const bool off = all_lost(healthy, faulty);
    const StoryLine* fuse = first_told(faulty, "fuse_melted");
    const bool shorted = faulty.supply_a_rms > short_times * healthy.supply_a_rms;
    const StoryLine* restart = first_told(faulty, "restart");
    const std::vector<StressRow> fresh = newly_exceeded(healthy, faulty);
    if (restart != nullptr && changed) {
        words = fmt::format("{} stops and starts anew. ", restart->who) + words;
    }
    words = stress_words(fresh) + words;
    std::string verdict = off ? "output lost" : changed ? "output changed" : "no change";
    if (restart != nullptr && changed) {
        verdict = "restarts";
    }
    if (!fresh.empty()) {
        verdict = "over-stress";
    }
    if (fuse != nullptr) {
        verdict = "fuse opens";
        words = fmt::format("{} opens {} after the fault. ",
                            fuse->who,
                            base::to_engineering(fuse->t_s, base::Unit::second)) +
                words;
    } else if (shorted) {
        verdict = "supply shorted";
        words = fmt::format("{} flow from the supply, and nothing opens. ",
                            base::to_engineering(faulty.supply_a_rms, base::Unit::ampere)) +
                words;
    }
    if (words.empty()) {
        words = "Nothing that a user would notice.";
    } else {
        words.pop_back();
    }
    return {verdict, words};
}

}  // namespace etchback::behaviour::detail
