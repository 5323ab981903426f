// Processes on one or several machines that share a campaign, started by `mpirun -n N etchback
// ...`.
//
// A plain `etchback` knows nothing of MPI: the library is loaded by a plugin, etchback_ranks.so,
// and only in a process that mpirun has started.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "base/error.h"

namespace etchback::behaviour {

// A group of processes that send each other texts. Only the thread that opened it may use it.
class Ranks {
public:
    virtual ~Ranks() = default;    // all processes meet here
    virtual int rank() const = 0;  // 0 is the first: it keeps the journal, it prints
    virtual int size() const = 0;
    virtual int on_this_machine() const = 0;  // ranks that share this machine's processors

    struct Message {
        int from = 0;
        std::string text;
    };
    virtual void send(int to, std::string_view text) = 0;
    // The next message that has come, if any: never waits.
    virtual std::optional<Message> receive() = 0;
    // The text that rank 0 hands in, on every rank.
    virtual std::string broadcast(std::string text) = 0;
};

// The group this process belongs to; null where it was started alone. Fails with a sentence where
// it was started by mpirun but the plugin is missing or does not load. Once in a process.
base::Result<std::unique_ptr<Ranks>> open_ranks();

}  // namespace etchback::behaviour
