#include "behaviour/detail/campaign_pool.h"

namespace etchback::behaviour::detail {

Pool::Pool(int threads, const Work& work) : work_(work) {
    for (int i = 0; i < threads; ++i) {
        threads_.emplace_back([this] { live(); });
    }
}

Pool::~Pool() {
    {
        const std::lock_guard lock(mutex_);
        closed_ = true;
        waiting_.clear();
    }
    stopped_ = true;
    job_came_.notify_all();
    for (std::thread& thread : threads_) {
        thread.join();
    }
}

void Pool::give(Job job) {
    ++jobs_;
    {
        const std::lock_guard lock(mutex_);
        waiting_.push_back(std::move(job));
    }
    job_came_.notify_one();
}

std::optional<Pool::Report> Pool::take(std::chrono::milliseconds patience) {
    std::unique_lock lock(mutex_);
    report_came_.wait_for(lock, patience, [this] { return thrown_ || !reports_.empty(); });
    if (thrown_) {
        std::rethrow_exception(thrown_);
    }
    if (reports_.empty()) {
        return std::nullopt;
    }
    Report first = std::move(reports_.front());
    reports_.pop_front();
    if (first.run < 0) {
        --jobs_;
    }
    return first;
}

void Pool::report(Report report) {
    {
        const std::lock_guard lock(mutex_);
        reports_.push_back(std::move(report));
    }
    report_came_.notify_one();
}

void Pool::live() {
    while (true) {
        Job job;
        {
            std::unique_lock lock(mutex_);
            job_came_.wait(lock, [this] { return closed_ || !waiting_.empty(); });
            if (closed_) {
                return;
            }
            job = std::move(waiting_.front());
            waiting_.pop_front();
        }
        try {
            work_(
                job,
                [this](int run, std::string result) {
                    report({run, std::move(result)});
                },
                [this] { return stopped_.load(); });
        } catch (...) {
            const std::lock_guard lock(mutex_);
            thrown_ = std::current_exception();
        }
        report({});
    }
}

}  // namespace etchback::behaviour::detail
