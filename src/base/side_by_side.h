// Independent jobs on all cores.
#pragma once

#include <cstddef>
#include <functional>

namespace etchback::base {

// Calls job(0) ... job(count - 1), each once, on the calling thread and as many more as the machine
// has cores, or `most_threads` in all if that is not 0. Returns when all have ended. If jobs throw,
// what the first of them (by number) threw is thrown again; the others have run all the same.
void side_by_side(std::size_t count,
                  const std::function<void(std::size_t)>& job,
                  std::size_t most_threads = 0);

}  // namespace etchback::base
