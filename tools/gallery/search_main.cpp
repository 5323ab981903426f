// gallery-search [TRIES]: searches for the fewest crossings of each circuit of the gallery and
// writes docs/gallery/fewest.toml.
#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>
#include <exception>
#include <iostream>

#include "base/file.h"
#include "gallery/circuits.h"
#include "gallery/fewest_file.h"

int main(int count, char** words) {
    using namespace etchback;
    try {
        const std::filesystem::path root = ETCHBACK_SOURCE_DIR;
        const int tries = count > 1 ? std::max(1, std::atoi(words[1])) : 2000;
        std::map<std::string, gallery::Fewest> found;
        for (const gallery::Entry& entry : gallery::entries(root)) {
            const gallery::Fewest fewest = gallery::fewest_crossings(entry.circuit, tries);
            found[entry.id] = fewest;
            std::cout << fmt::format("{:28} with signs {:2}, all wired {:2}\n",
                                     entry.id,
                                     fewest.with_signs,
                                     fewest.all_wired)
                      << std::flush;
        }
        base::write_file_atomically(root / "docs/gallery/fewest.toml",
                                    gallery::to_toml(found, tries));
    } catch (const std::exception& failure) {
        std::cerr << failure.what() << "\n";
        return 1;
    }
    return 0;
}
