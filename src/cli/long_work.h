// Work that takes a while: shows its progress on a terminal and ends in good order on Ctrl-C.
#pragma once

#include <chrono>
#include <functional>
#include <iosfwd>
#include <string>

#include <csignal>

#include "cli/command.h"

namespace etchback::cli {

// While one exists, Ctrl-C asks the work to end; a second Ctrl-C ends the program as ever. One at a
// time in a process, since a process has one handler of a signal.
class LongWork {
public:
    explicit LongWork(Context& context);
    ~LongWork();
    LongWork(const LongWork&) = delete;
    LongWork& operator=(const LongWork&) = delete;

    bool interrupted() const;
    std::function<bool()> asked_to_end() const;

    // One line on standard error, written over by the next; nothing where that is no terminal.
    void show(const std::string& words);
    void clear();

private:
    Context& context_;
    bool terminal_ = false;
    std::size_t shown_ = 0;
    std::chrono::steady_clock::time_point last_{};
    struct sigaction before_ {};
};

}  // namespace etchback::cli
