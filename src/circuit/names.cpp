#include "circuit/names.h"

namespace etchback::circuit {

std::vector<std::string> names_of(const Circuit& circuit, const std::vector<PartId>& parts) {
    std::vector<std::string> names;
    names.reserve(parts.size());
    for (const PartId part : parts) {
        names.push_back(circuit[part].name);
    }
    return names;
}

}  // namespace etchback::circuit
