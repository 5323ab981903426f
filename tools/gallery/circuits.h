// The circuits of the gallery: every dossier under docs/gallery/circuits, and the examples.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "circuit/circuit.h"

namespace etchback::gallery {

struct Entry {
    std::string id;     // "bridge-capacitor": the file's name without its end
    std::string title;  // "Bridge rectifier with capacitor"
    std::string story;  // the first sentences, without the source
    std::string source;
    std::filesystem::path file;  // relative to the root of the repository
    circuit::Circuit circuit;
};

// Sorted by id, examples last. Throws std::runtime_error with every error of a dossier that is not
// in order: the gallery is ours, and a fault in it is our own mistake.
std::vector<Entry> entries(const std::filesystem::path& root);

}  // namespace etchback::gallery
