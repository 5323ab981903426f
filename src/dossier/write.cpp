#include "dossier/write.h"

#include "dossier/detail/tree.h"

namespace etchback::dossier {

std::string write(const Dossier& dossier, const parts::Catalogue& catalogue) {
    const detail::Node root = detail::tree_of(dossier, catalogue);
    std::string text = detail::lines_text(root);
    for (const auto& [key, node] : root.fields) {
        if (detail::is_headed(key, node)) {
            text += "\n" + detail::section_text({key}, node);
        }
    }
    return text;
}

}  // namespace etchback::dossier
