// The command `etchback`.
#pragma once

namespace etchback::cli {

// Exit status: 0 done, 1 a dossier or a result is not in order, 2 wrong usage.
int run(int argc, const char* const* argv);

}  // namespace etchback::cli
