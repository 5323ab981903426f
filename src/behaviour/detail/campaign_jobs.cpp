#include "behaviour/detail/campaign_jobs.h"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <sstream>

#include "behaviour/detail/campaign_pool.h"
#include "behaviour/detail/journal_file.h"

namespace etchback::behaviour::detail {

namespace {

using std::chrono::milliseconds;
using Results = std::vector<std::optional<std::string>>;

// How long the main thread sleeps where nothing happens: short where it has messages to answer.
constexpr milliseconds patience_alone{50};
constexpr milliseconds patience_in_a_group{1};

// What ranks say to each other: "want" (a job, please), "job 3 4 5", "end" (there is none left),
// "run 3 {...}", "gone" (all my jobs are reported).
constexpr std::string_view want = "want";
constexpr std::string_view end = "end";
constexpr std::string_view gone = "gone";

std::string job_message(const Job& job) {
    std::ostringstream text;
    text << "job";
    for (const int run : job) {
        text << ' ' << run;
    }
    return text.str();
}

Job job_in(const std::string& message) {
    std::istringstream text(message.substr(std::string_view("job").size()));
    Job job;
    for (int run = 0; text >> run;) {
        job.push_back(run);
    }
    return job;
}

std::string run_message(const Pool::Report& report) {
    return "run " + std::to_string(report.run) + " " + report.result;
}

Pool::Report report_in(const std::string& message) {
    const std::size_t number = std::string_view("run ").size();
    const std::size_t blank = message.find(' ', number);
    return {std::stoi(message.substr(number, blank - number)), message.substr(blank + 1)};
}

int threads_of(const JobOptions& options) {
    if (options.threads > 0) {
        return options.threads;
    }
    const int here = static_cast<int>(std::max(1U, std::thread::hardware_concurrency()));
    const int sharers = options.ranks != nullptr ? options.ranks->on_this_machine() : 1;
    return std::max(1, here / std::max(1, sharers));
}

// Keeps the list of what is to be done, the results and the journal; does jobs itself, too.
class Leader {
public:
    Leader(const std::vector<Job>& jobs, const Work& work, const JobOptions& options)
        : options_(options), pool_(threads_of(options), work) {
        if (options.journal) {
            journal_.emplace(*options.journal, options.inputs);
        }
        for (const Job& job : jobs) {
            all_ += static_cast<int>(job.size());
        }
        results_.resize(static_cast<std::size_t>(all_));
        for (const Job& job : jobs) {
            Job rest;
            std::ranges::copy_if(
                job, std::back_inserter(rest), [&](int run) { return !take_from_journal(run); });
            if (!rest.empty()) {
                waiting_.push_back(std::move(rest));
            }
        }
        tell();
    }

    Results run() {
        const bool group = options_.ranks != nullptr && options_.ranks->size() > 1;
        const int others = group ? options_.ranks->size() - 1 : 0;
        while (!waiting_.empty() || pool_.jobs() > 0 || gone_ < others) {
            if (!stopped_ && options_.interrupted && options_.interrupted()) {
                stopped_ = true;
                waiting_.clear();
                pool_.stop();
            }
            while (!waiting_.empty() && pool_.jobs() < pool_.threads()) {
                pool_.give(next());
            }
            if (auto report = pool_.take(group ? patience_in_a_group : patience_alone)) {
                keep(std::move(*report));
            }
            while (group && answer()) {
            }
        }
        return std::move(results_);
    }

private:
    bool take_from_journal(int run) {
        if (!journal_) {
            return false;
        }
        const auto found = journal_->done().find(run);
        if (found == journal_->done().end()) {
            return false;
        }
        results_[static_cast<std::size_t>(run)] = found->second;
        ++done_;
        return true;
    }

    Job next() {
        Job job = std::move(waiting_.front());
        waiting_.pop_front();
        return job;
    }

    void keep(Pool::Report report) {
        if (report.run < 0) {
            return;
        }
        if (journal_) {
            journal_->append(report.run, report.result);
        }
        results_[static_cast<std::size_t>(report.run)] = std::move(report.result);
        ++done_;
        tell();
    }

    void tell() const {
        if (options_.progress) {
            options_.progress(done_, all_);
        }
    }

    // Answers one message; false where there is none.
    bool answer() {
        const auto message = options_.ranks->receive();
        if (!message) {
            return false;
        }
        if (message->text == gone) {
            ++gone_;
        } else if (message->text != want) {
            keep(report_in(message->text));
        } else if (!waiting_.empty()) {
            options_.ranks->send(message->from, job_message(next()));
        } else {
            options_.ranks->send(message->from, end);
        }
        return true;
    }

    const JobOptions& options_;
    Pool pool_;
    std::optional<Journal> journal_;
    std::deque<Job> waiting_;
    Results results_;
    int all_ = 0, done_ = 0;
    int gone_ = 0;  // ranks that have reported all their jobs
    bool stopped_ = false;
};

// Asks the leader for jobs, one for each thread and one that waits, until there are none.
void follow(const Work& work, const JobOptions& options) {
    Ranks& ranks = *options.ranks;
    Pool pool(threads_of(options), work);
    bool ended = false;
    int asked = 0;
    while (!ended || pool.jobs() > 0) {
        if (options.interrupted && options.interrupted()) {
            pool.stop();
        }
        // One question at a time, so that the leader's last word comes once.
        if (!ended && asked == 0 && pool.jobs() < pool.threads()) {
            ranks.send(0, want);
            asked = 1;
        }
        while (const auto message = ranks.receive()) {
            asked = 0;
            if (message->text == end) {
                ended = true;
            } else {
                pool.give(job_in(message->text));
            }
        }
        while (const auto report = pool.take(patience_in_a_group)) {
            if (report->run >= 0) {
                ranks.send(0, run_message(*report));
            }
        }
    }
    ranks.send(0, gone);
}

// Every rank gets what the leader has.
Results shared(Results results, Ranks& ranks) {
    nlohmann::json all = nlohmann::json::array();
    for (const auto& result : results) {
        all.push_back(result ? nlohmann::json(*result) : nlohmann::json());
    }
    const nlohmann::json heard = nlohmann::json::parse(ranks.broadcast(all.dump()));
    Results same;
    for (const nlohmann::json& one : heard) {
        same.push_back(one.is_null() ? std::nullopt : std::optional(one.get<std::string>()));
    }
    return same;
}

}  // namespace

Results run_jobs(const std::vector<Job>& jobs, const Work& work, const JobOptions& options) {
    if (options.ranks == nullptr) {
        return Leader(jobs, work, options).run();
    }
    if (options.ranks->rank() == 0) {
        return shared(Leader(jobs, work, options).run(), *options.ranks);
    }
    follow(work, options);
    return shared({}, *options.ranks);
}

}  // namespace etchback::behaviour::detail
