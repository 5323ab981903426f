#include "cli/long_work.h"

#include <unistd.h>

#include <atomic>
#include <iostream>

#include "base/text.h"

namespace etchback::cli {
namespace {

// The one thing that a handler of a signal can reach.
std::atomic<bool> asked = false;
static_assert(std::atomic<bool>::is_always_lock_free, "a handler may take no lock");

void ask(int) {
    asked = true;
}

}  // namespace

LongWork::LongWork(Context& context) : context_(context) {
    asked = false;
    terminal_ = &context.err == &std::cerr && isatty(STDERR_FILENO) != 0;
    struct sigaction action {};
    action.sa_handler = ask;
    action.sa_flags = static_cast<int>(SA_RESETHAND);  // the second one is not caught
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, &before_);
}

LongWork::~LongWork() {
    sigaction(SIGINT, &before_, nullptr);
    clear();
}

bool LongWork::interrupted() const {
    return asked;
}

std::function<bool()> LongWork::asked_to_end() const {
    return [] { return asked.load(); };
}

void LongWork::show(const std::string& words) {
    constexpr auto seldom = std::chrono::milliseconds(100);
    const auto now = std::chrono::steady_clock::now();
    if (!terminal_ || (shown_ > 0 && now - last_ < seldom)) {
        return;
    }
    const std::size_t length = base::characters(words);
    context_.err << '\r' << words << std::string(shown_ > length ? shown_ - length : 0, ' ')
                 << std::flush;
    shown_ = length;
    last_ = now;
}

void LongWork::clear() {
    if (shown_ > 0) {
        context_.err << '\r' << std::string(shown_, ' ') << '\r' << std::flush;
        shown_ = 0;
    }
}

}  // namespace etchback::cli
