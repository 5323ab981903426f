// Several names for one net, as the notes give them.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "dossier/dossier.h"

namespace etchback::circuit::detail {

// All the names that the notes give to one net lead to one of them.
class NetNames {
public:
    explicit NetNames(const std::vector<dossier::NetNote>& notes) {
        for (const dossier::NetNote& note : notes) {
            notes_.try_emplace(note.name, &note);
            for (const dossier::Text& other : note.also) {
                join(note.name, other.value);
            }
        }
    }

    // The name under which the net goes.
    std::string canonical(const std::string& name) const {
        std::string at = name;
        for (auto it = parent_.find(at); it != parent_.end(); it = parent_.find(at)) {
            at = it->second;
        }
        return at;
    }

    std::vector<std::string> others(const std::string& name) const {
        const auto it = others_.find(name);
        return it == others_.end() ? std::vector<std::string>{} : it->second;
    }

    const dossier::NetNote* note(const std::string& name) const {
        const auto it = notes_.find(name);
        return it == notes_.end() ? nullptr : it->second;
    }

private:
    // `other` becomes one more name of `name`. A circle of names ends where it began.
    void join(const std::string& name, const std::string& other) {
        const std::string kept = canonical(name);
        const std::string lost = canonical(other);
        if (kept == lost) {
            return;
        }
        parent_[lost] = kept;
        std::vector<std::string>& all = others_[kept];
        all.push_back(lost);
        if (const auto it = others_.find(lost); it != others_.end()) {
            all.insert(all.end(), it->second.begin(), it->second.end());
            others_.erase(it);
        }
    }

    std::map<std::string, std::string> parent_;
    std::map<std::string, std::vector<std::string>> others_;
    std::map<std::string, const dossier::NetNote*> notes_;
};

}  // namespace etchback::circuit::detail
