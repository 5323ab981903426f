// A photograph as OpenCV's picture: upright, 8 bits, blue-green-red.
//
// JPEG, PNG, TIFF and WebP up to 50 megapixels. EXIF orientation is applied; 16 bits become 8;
// CMYK, grey and transparent pictures become BGR (transparent on white). What cannot be read in
// full (truncated, not a picture, 1 x 1, too large) is an error with its remedy: half a picture
// would pass for a board.
#pragma once

#include <opencv2/core/mat.hpp>
#include <string>

#include "base/error.h"

namespace etchback::copper::eye {

struct Photo {
    std::string file;  // as the dossier names it
    cv::Mat bgr;       // CV_8UC3
};

base::Result<Photo> read_photo(const std::string& path, const base::Place& place);

}  // namespace etchback::copper::eye
