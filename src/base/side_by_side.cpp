#include "base/side_by_side.h"

#include <algorithm>
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace etchback::base {

void side_by_side(std::size_t count,
                  const std::function<void(std::size_t)>& job,
                  std::size_t most_threads) {
    std::vector<std::exception_ptr> thrown(count);
    std::atomic<std::size_t> next = 0;
    const auto work = [&] {
        for (std::size_t i = next++; i < count; i = next++) {
            try {
                job(i);
            } catch (...) {
                thrown[i] = std::current_exception();
            }
        }
    };
    const std::size_t threads =
        most_threads > 0 ? most_threads : std::max(1U, std::thread::hardware_concurrency());
    {
        std::vector<std::jthread> others;
        for (std::size_t i = 1; i < std::min(threads, count); ++i) {
            others.emplace_back(work);
        }
        work();
    }
    for (const std::exception_ptr& one : thrown) {
        if (one) {
            std::rethrow_exception(one);
        }
    }
}

}  // namespace etchback::base
