// Circuits to compare: those of the gallery and the examples, renamed, shuffled and edited.
#pragma once

#include <filesystem>
#include <fstream>
#include <map>
#include <random>
#include <sstream>

#include "base/text.h"
#include "blocks/board.h"
#include "blocks/compare.h"

namespace etchback::test {

using PartList = std::vector<dossier::Part>;

inline dossier::Dossier dossier_from(const std::filesystem::path& file) {
    std::ifstream in(file);
    std::stringstream text;
    text << in.rdbuf();
    auto read = dossier::read(text.str(), file.string(), catalogue());
    if (!read) {
        throw std::runtime_error(base::to_string(read.errors().front()));
    }
    return *std::move(read);
}

inline dossier::Dossier example(const std::string& name) {
    return dossier_from(std::filesystem::path(ETCHBACK_SOURCE_DIR) / "examples" / name /
                        "dossier.toml");
}

inline PartList fitted(const PartList& parts) {
    PartList out = parts;
    std::erase_if(out, [](const dossier::Part& part) { return !part.fitted; });
    return out;
}

// Fitted parts of every gallery circuit and example, in the order of the files' names.
inline const std::vector<PartList>& circuits_to_edit() {
    static const std::vector<PartList> all = [] {
        std::vector<std::filesystem::path> files;
        const std::filesystem::path root = ETCHBACK_SOURCE_DIR;
        for (const auto& entry :
             std::filesystem::directory_iterator(root / "docs/gallery/circuits")) {
            files.push_back(entry.path());
        }
        std::sort(files.begin(), files.end());
        for (const char* name : {"henhouse-lamp", "seedling-driver", "sewing-adapter"}) {
            files.push_back(root / "examples" / name / "dossier.toml");
        }
        std::vector<PartList> out;
        for (const auto& file : files) {
            out.push_back(fitted(dossier_from(file).parts));
        }
        return out;
    }();
    return all;
}

inline circuit::Circuit built(const PartList& parts) {
    return circuit::build(parts, {}, catalogue());
}

// New names for parts and nets, everything in another order. `names` gives old names for new ones.
inline PartList shuffled(PartList parts,
                         std::mt19937& random,
                         std::map<std::string, std::string>* names = nullptr) {
    std::shuffle(parts.begin(), parts.end(), random);
    std::map<std::string, std::string> nets;
    std::vector<int> numbers(1000);
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        numbers[i] = static_cast<int>(i);
    }
    std::shuffle(numbers.begin(), numbers.end(), random);
    std::size_t next = 0;
    for (dossier::Part& part : parts) {
        const std::string name = "X" + std::to_string(numbers[next++]);
        if (names != nullptr) {
            (*names)[name] = part.name;
        }
        part.name = name;
        for (auto& pin : part.pins) {
            std::string& net = nets[pin.net];
            if (net.empty()) {
                net = "n" + std::to_string(numbers[next++]);
            }
            pin.net = net;
        }
    }
    return parts;
}

}  // namespace etchback::test
