#include "gallery/circuits.h"

#include <algorithm>
#include <stdexcept>

#include "dossier/read.h"
#include "parts/catalogue.h"

namespace etchback::gallery {
namespace {

namespace fs = std::filesystem;

std::string all_of(const base::Errors& errors) {
    std::string text;
    for (const base::Error& error : errors) {
        text += base::to_string(error) + "\n";
    }
    return text;
}

// The lines before and after "Source: ".
void split_story(const std::string& story, Entry& entry) {
    const std::string mark = "Source: ";
    const auto at = story.find(mark);
    entry.story = story.substr(0, at);
    if (at != std::string::npos) {
        entry.source = story.substr(at + mark.size());
    }
    for (std::string* text : {&entry.story, &entry.source}) {
        while (!text->empty() && (text->back() == '\n' || text->back() == ' ')) {
            text->pop_back();
        }
    }
}

Entry read_entry(const fs::path& root,
                 const fs::path& file,
                 const std::string& id,
                 const parts::Catalogue& catalogue) {
    const auto dossier = dossier::read_folder(root / file, catalogue);
    if (!dossier) {
        throw std::runtime_error(all_of(dossier.errors()));
    }
    Entry entry;
    entry.id = id;
    entry.title = dossier->item.name.value;
    entry.file = file;
    split_story(dossier->item.story.value, entry);
    entry.circuit = circuit::build(*dossier, catalogue);
    return entry;
}

}  // namespace

std::vector<Entry> entries(const fs::path& root) {
    const auto catalogue = parts::load_catalogue(root / "data/parts");
    if (!catalogue) {
        throw std::runtime_error(all_of(catalogue.errors()));
    }
    std::vector<fs::path> files;
    for (const fs::directory_entry& file : fs::directory_iterator(root / "docs/gallery/circuits")) {
        if (file.path().extension() == ".toml") {
            files.push_back(file.path().filename());
        }
    }
    std::sort(files.begin(), files.end());
    std::vector<Entry> all;
    for (const fs::path& file : files) {
        all.push_back(read_entry(
            root, fs::path("docs/gallery/circuits") / file, file.stem().string(), *catalogue));
    }
    for (const char* example : {"henhouse-lamp", "seedling-driver", "sewing-adapter"}) {
        all.push_back(
            read_entry(root, fs::path("examples") / example / "dossier.toml", example, *catalogue));
        all.back().source = "an example of this repository, invented";
    }
    return all;
}

}  // namespace etchback::gallery
