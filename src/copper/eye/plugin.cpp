// The door of the plugin; see interface.h.
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "copper/eye/interface.h"
#include "copper/eye/trace_board.h"

#define ETCHBACK_EXPORT extern "C" __attribute__((visibility("default")))

using namespace etchback;
using namespace etchback::copper::eye;

ETCHBACK_EXPORT int etchback_eye_version() {
    return interface_version;
}

ETCHBACK_EXPORT bool etchback_eye_trace(const dossier::Dossier* dossier,
                                        const std::filesystem::path* folder,
                                        const parts::Catalogue* catalogue,
                                        BoardTrace* traced,
                                        base::Errors* errors) {
    try {
        base::Result<BoardTrace> result = trace_board(*dossier, *folder, *catalogue);
        if (!result) {
            *errors = result.errors();
            return false;
        }
        *traced = std::move(*result);
        return true;
    } catch (const cv::Exception& error) {
        *errors = {{{},
                    std::string("the pictures cannot be worked on: ") + error.err,
                    "report this with the photos: it is a fault of the program"}};
        return false;
    } catch (const std::bad_alloc&) {
        *errors = {{{},
                    "the pictures need more memory than there is",
                    "make the photos smaller: 12 megapixels are plenty"}};
        return false;
    }
}

ETCHBACK_EXPORT bool etchback_eye_jpeg(const PlainPicture* picture,
                                       int longest,
                                       int quality,
                                       std::string* jpeg,
                                       base::Errors* errors) {
    try {
        // Only read from: OpenCV has no matrix of constant pixels.
        cv::Mat bgr(picture->height,
                    picture->width,
                    CV_8UC3,
                    const_cast<std::uint8_t*>(picture->bgr));  // NOLINT
        const int longer = std::max(bgr.cols, bgr.rows);
        cv::Mat small;
        if (longer > longest) {
            const double scale = static_cast<double>(longest) / longer;
            cv::resize(bgr, small, {}, scale, scale, cv::INTER_AREA);
        } else {
            small = bgr;
        }
        std::vector<unsigned char> bytes;
        if (!cv::imencode(".jpg", small, bytes, {cv::IMWRITE_JPEG_QUALITY, quality})) {
            *errors = {{{}, "a picture cannot be written as JPEG", "report this"}};
            return false;
        }
        jpeg->assign(bytes.begin(), bytes.end());
        return true;
    } catch (const cv::Exception& error) {
        *errors = {{{}, std::string("a picture cannot be written: ") + error.err, "report this"}};
        return false;
    }
}
