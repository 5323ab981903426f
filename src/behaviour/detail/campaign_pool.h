// Threads that do jobs. The thread that made the pool hands jobs in and takes reports out.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <exception>
#include <mutex>
#include <optional>
#include <thread>
#include <vector>

#include "behaviour/detail/campaign_jobs.h"

namespace etchback::behaviour::detail {

class Pool {
public:
    // A run's result, or (run < 0) the end of a job.
    struct Report {
        int run = -1;
        std::string result;
    };

    Pool(int threads, const Work& work);
    ~Pool();  // waits for the jobs that were begun; those that were not are dropped
    Pool(const Pool&) = delete;
    Pool& operator=(const Pool&) = delete;

    int threads() const { return static_cast<int>(threads_.size()); }
    int jobs() const { return jobs_; }  // handed in and not yet reported as ended
    void give(Job job);
    // The next report, waiting at most `patience` for it. Rethrows what a job threw.
    std::optional<Report> take(std::chrono::milliseconds patience);
    void stop() { stopped_ = true; }  // jobs are told that they are interrupted

private:
    void live();
    void report(Report report);

    const Work& work_;
    std::atomic<bool> stopped_ = false;
    int jobs_ = 0;
    std::mutex mutex_;
    std::condition_variable job_came_, report_came_;
    bool closed_ = false;
    std::deque<Job> waiting_;
    std::deque<Report> reports_;
    std::exception_ptr thrown_;
    std::vector<std::thread> threads_;
};

}  // namespace etchback::behaviour::detail
