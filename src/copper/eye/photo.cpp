#include "copper/eye/photo.h"

#include <fmt/format.h>

#include <filesystem>
#include <fstream>
#include <opencv2/core.hpp>
#include <opencv2/core/utils/logger.hpp>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <vector>

#include "copper/eye/detail/jpeg.h"
#include "copper/eye/detail/picture_head.h"

namespace etchback::copper::eye {
namespace {

namespace fs = std::filesystem;
using detail::PictureHead;
using detail::PictureKind;

constexpr std::int64_t most_pixels = 50'000'000;
constexpr std::uintmax_t most_bytes = 400'000'000;  // 50 megapixels of 16 bits, not compressed
constexpr int least_side = 16;

base::Error broken(const std::string& path, const base::Place& place, const std::string& why) {
    return {place,
            fmt::format(
                "the picture '{}' is broken or not whole{}{}", path, why.empty() ? "" : ": ", why),
            "copy it from the camera again, or save it anew"};
}

// Turns a picture that the camera held otherwise (EXIF 2.3, table of tag 0x0112).
cv::Mat upright(const cv::Mat& picture, int orientation) {
    cv::Mat turned = picture;
    if (orientation >= 5) {
        cv::transpose(turned, turned);
    }
    switch (orientation) {
        case 2:
        case 6:
            cv::flip(turned, turned, 1);
            break;
        case 4:
        case 8:
            cv::flip(turned, turned, 0);
            break;
        case 3:
        case 7:
            cv::flip(turned, turned, -1);
            break;
        default:
            break;
    }
    return turned;
}

cv::Mat on_white(const cv::Mat& bgra) {
    cv::Mat bgr(bgra.size(), CV_8UC3);
    for (int y = 0; y < bgra.rows; ++y) {
        const auto* in = bgra.ptr<cv::Vec4b>(y);
        auto* out = bgr.ptr<cv::Vec3b>(y);
        for (int x = 0; x < bgra.cols; ++x) {
            const int alpha = in[x][3];
            for (int c = 0; c < 3; ++c) {
                out[x][c] =
                    static_cast<std::uint8_t>((in[x][c] * alpha + 255 * (255 - alpha) + 127) / 255);
            }
        }
    }
    return bgr;
}

// Any depth and number of channels to 8-bit blue-green-red; empty: a depth that is not taken.
cv::Mat to_bgr(cv::Mat picture) {
    if (picture.depth() == CV_16U) {
        picture.convertTo(picture, CV_8U, 1.0 / 257.0);
    } else if (picture.depth() != CV_8U) {
        return {};
    }
    switch (picture.channels()) {
        case 1:
            cv::cvtColor(picture, picture, cv::COLOR_GRAY2BGR);
            return picture;
        case 3:
            return picture;
        case 4:
            return on_white(picture);
        default:
            return {};
    }
}

cv::Mat decode(const std::vector<std::uint8_t>& bytes) {
    // What OpenCV thinks of a broken file goes to standard error otherwise; we say it better.
    const auto level = cv::utils::logging::getLogLevel();
    cv::utils::logging::setLogLevel(cv::utils::logging::LOG_LEVEL_SILENT);
    cv::Mat picture;
    try {
        picture = cv::imdecode(bytes, cv::IMREAD_UNCHANGED);
    } catch (const cv::Exception&) {
        picture = cv::Mat();
    }
    cv::utils::logging::setLogLevel(level);
    return picture;
}

std::optional<base::Error> wrong_size(const std::string& path,
                                      const base::Place& place,
                                      std::int64_t width,
                                      std::int64_t height) {
    if (width > most_pixels || height > most_pixels || width * height > most_pixels) {
        return base::Error{
            place,
            fmt::format("the picture '{}' has {} x {} pixels; at most 50 million are read",
                        path,
                        width,
                        height),
            "scale it down or crop it to the board"};
    }
    if (width < least_side || height < least_side) {
        return base::Error{
            place,
            fmt::format("the picture '{}' has only {} x {} pixels", path, width, height),
            "give the photo as the camera took it: 20 pixels per mm of the board are enough"};
    }
    return std::nullopt;
}

std::optional<base::Error> no_file(const std::string& path, const base::Place& place) {
    std::error_code none;
    const fs::file_status status = fs::status(path, none);
    if (!fs::exists(status)) {
        return base::Error{place,
                           fmt::format("the picture '{}' is not there", path),
                           "put the file there, or correct its name"};
    }
    if (!fs::is_regular_file(status)) {
        return base::Error{place,
                           fmt::format("'{}' is not a file", path),
                           "name the picture in it, not the folder"};
    }
    const std::uintmax_t size = fs::file_size(path, none);
    if (size == 0) {
        return base::Error{
            place, fmt::format("the picture '{}' is empty", path), "copy it from the camera again"};
    }
    if (size > most_bytes) {
        return base::Error{
            place,
            fmt::format(
                "the picture '{}' has {} megabytes; at most 400 are read", path, size / 1'000'000),
            "scale it down or crop it to the board, and save it as PNG or JPEG"};
    }
    return std::nullopt;
}

// Empty: it cannot be read.
std::vector<std::uint8_t> bytes_of(const std::string& path) {
    std::error_code none;
    std::vector<std::uint8_t> bytes(fs::file_size(path, none));
    std::ifstream file(path, std::ios::binary);
    file.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(bytes.size()));
    return file ? bytes : std::vector<std::uint8_t>{};
}

base::Result<Photo> read_jpeg_photo(const std::string& path,
                                    const base::Place& place,
                                    const std::vector<std::uint8_t>& bytes) {
    const detail::Jpeg jpeg = detail::read_jpeg(bytes, most_pixels);
    if (!jpeg.broken.empty()) {
        return broken(path, place, jpeg.broken);
    }
    if (const auto error = wrong_size(path, place, jpeg.size.width, jpeg.size.height)) {
        return *error;
    }
    return Photo{.file = path, .bgr = upright(jpeg.bgr, jpeg.orientation)};
}

base::Result<Photo> read_other_photo(const std::string& path,
                                     const base::Place& place,
                                     const std::vector<std::uint8_t>& bytes,
                                     const PictureHead& head) {
    if (!head.whole) {
        return broken(path, place, "");
    }
    if (const auto error = wrong_size(path, place, head.width, head.height)) {
        return *error;
    }
    const cv::Mat picture = decode(bytes);
    if (picture.empty()) {
        return broken(path, place, "");
    }
    const cv::Mat bgr = to_bgr(picture);
    if (bgr.empty()) {
        return base::Error{
            place,
            fmt::format("the picture '{}' is stored in a way that is not read", path),
            "save it with 8 or 16 bits a colour, as grey, RGB or RGB with transparency"};
    }
    return Photo{.file = path, .bgr = upright(bgr, head.orientation)};
}

}  // namespace

base::Result<Photo> read_photo(const std::string& path, const base::Place& place) {
    if (const auto error = no_file(path, place)) {
        return *error;
    }
    const std::vector<std::uint8_t> bytes = bytes_of(path);
    if (bytes.empty()) {
        return base::Error{place,
                           fmt::format("the picture '{}' cannot be read", path),
                           "make it readable, or copy it here again"};
    }
    const PictureHead head = detail::read_picture_head(bytes);
    switch (head.kind) {
        case PictureKind::jpeg:
            return read_jpeg_photo(path, place, bytes);
        case PictureKind::none:
            return base::Error{place,
                               fmt::format("'{}' is not a JPEG, PNG, TIFF or WebP picture", path),
                               "save the photo as one of these"};
        default:
            return read_other_photo(path, place, bytes, head);
    }
}

}  // namespace etchback::copper::eye
