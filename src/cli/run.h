// The command `etchback`.
#pragma once

#include <iosfwd>
#include <string>
#include <vector>

namespace etchback::cli {

// Exit status: what scripts can rely on.
enum Status : int {
    done = 0,
    not_in_order = 1,  // a dossier or a result is not in order; a file cannot be read or written
    wrong_usage = 2,
};

// Runs one command. `arguments` are the words after the program's name. Results go to `out`,
// errors and progress to `err`. Used by main and, in process, by the tests.
int run(const std::vector<std::string>& arguments, std::ostream& out, std::ostream& err);

}  // namespace etchback::cli
