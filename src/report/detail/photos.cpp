#include "report/detail/photos.h"

#include <string_view>

#include "base/file.h"
#include "report/detail/digest.h"

namespace etchback::report::detail {
namespace {

namespace fs = std::filesystem;

// By the first bytes, not by the name: a browser looks at them too.
std::string_view media_type(std::string_view bytes) {
    if (bytes.starts_with("\xff\xd8\xff")) {
        return "image/jpeg";
    }
    if (bytes.starts_with("\x89PNG\r\n\x1a\n")) {
        return "image/png";
    }
    if (bytes.starts_with("RIFF") && bytes.size() > 12 && bytes.substr(8, 4) == "WEBP") {
        return "image/webp";
    }
    return "";
}

// A published page must not carry off files that do not belong to the dossier.
bool within(const fs::path& file, const fs::path& folder) {
    std::error_code failure;
    const fs::path inner = fs::weakly_canonical(file, failure);
    const fs::path outer = fs::weakly_canonical(folder, failure);
    const fs::path relative = inner.lexically_relative(outer);
    return !failure && !relative.empty() && *relative.begin() != "..";
}

PhotoData load(const std::string& name, const fs::path& folder) {
    const fs::path file = folder / name;
    std::error_code ignored;
    if (!within(file, folder)) {
        return {.uri = "", .problem = name + " lies outside of the dossier's folder"};
    }
    if (!fs::is_regular_file(file, ignored)) {
        return {.uri = "", .problem = name + " is named in the dossier but not there"};
    }
    const std::string bytes = base::read_file(file);
    const std::string_view type = media_type(bytes);
    if (type.empty()) {
        return {.uri = "", .problem = name + " is no JPEG, PNG or WebP picture"};
    }
    return {.uri = "data:" + std::string(type) + ";base64," + base64(bytes), .problem = ""};
}

}  // namespace

std::vector<PhotoData> load_photos(const std::vector<PhotoView>& photos, const fs::path& folder) {
    std::vector<PhotoData> loaded;
    for (const PhotoView& photo : photos) {
        loaded.push_back(load(photo.file, folder));
    }
    return loaded;
}

}  // namespace etchback::report::detail
