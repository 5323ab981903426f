#include "copper/eye/detail/jpeg.h"

#include <csetjmp>
#include <cstdio>
#include <cstring>
#include <vector>

// jpeglib.h needs <cstdio> before it.
#include <jerror.h>
#include <jpeglib.h>

#include "copper/eye/detail/exif.h"

namespace etchback::copper::eye::detail {
namespace {

// libjpeg reports through function pointers and leaves through longjmp. What is broken is kept as
// text; harmless warnings (stray bytes between markers, an unknown version) are passed over.
struct Complaints {
    jpeg_error_mgr manager{};  // first: libjpeg knows only this part
    std::jmp_buf leave{};
    char words[JMSG_LENGTH_MAX] = {};
};

Complaints& complaints_of(j_common_ptr jpeg) {
    return *reinterpret_cast<Complaints*>(jpeg->err);
}

void on_error(j_common_ptr jpeg) {
    Complaints& complaints = complaints_of(jpeg);
    complaints.manager.format_message(jpeg, complaints.words);
    std::longjmp(complaints.leave, 1);
}

void on_message(j_common_ptr jpeg, int level) {
    Complaints& complaints = complaints_of(jpeg);
    const int code = complaints.manager.msg_code;
    if (level < 0 && (code == JWRN_JPEG_EOF || code == JWRN_HIT_MARKER ||
                      code == JWRN_HUFF_BAD_CODE || code == JWRN_MUST_RESYNC)) {
        if (complaints.words[0] == 0) {
            complaints.manager.format_message(jpeg, complaints.words);
        }
    }
}

void say_nothing(j_common_ptr) {}

int orientation_of(const jpeg_decompress_struct& jpeg) {
    for (const jpeg_marker_struct* m = jpeg.marker_list; m != nullptr; m = m->next) {
        if (m->marker == JPEG_APP0 + 1 && m->data_length > 6 &&
            std::memcmp(m->data, "Exif\0\0", 6) == 0) {
            return read_tiff_head({m->data + 6, m->data_length - 6}).orientation;
        }
    }
    return 1;
}

// Adobe's programs store CMYK inverted and say so with their marker.
void to_bgr(const std::uint8_t* cmyk, bool inverted, int width, std::uint8_t* bgr) {
    for (int i = 0; i < width; ++i) {
        const std::uint8_t* in = cmyk + 4 * static_cast<std::ptrdiff_t>(i);
        const int key = inverted ? in[3] : 255 - in[3];
        for (int c = 0; c < 3; ++c) {
            const int light = inverted ? in[2 - c] : 255 - in[2 - c];
            bgr[3 * static_cast<std::ptrdiff_t>(i) + c] =
                static_cast<std::uint8_t>((light * key + 127) / 255);
        }
    }
}

// All that is written between setjmp and longjmp lives in here, outside the frames that are left.
class Reader {
public:
    explicit Reader(std::span<const std::uint8_t> bytes) {
        jpeg_.err = jpeg_std_error(&complaints_.manager);
        complaints_.manager.error_exit = on_error;
        complaints_.manager.emit_message = on_message;
        complaints_.manager.output_message = say_nothing;
        jpeg_create_decompress(&jpeg_);
        jpeg_mem_src(&jpeg_, bytes.data(), bytes.size());
        jpeg_save_markers(&jpeg_, JPEG_APP0 + 1, 0xFFFF);
    }
    ~Reader() { jpeg_destroy_decompress(&jpeg_); }
    Reader(const Reader&) = delete;
    Reader& operator=(const Reader&) = delete;

    bool read_head() {
        if (setjmp(complaints_.leave) != 0) {
            return false;
        }
        jpeg_read_header(&jpeg_, TRUE);
        return true;
    }

    bool read_rows(cv::Mat& bgr) {
        if (setjmp(complaints_.leave) != 0) {
            return false;
        }
        const bool inks = jpeg_.num_components == 4;
        jpeg_.out_color_space = inks ? JCS_CMYK : JCS_EXT_BGR;
        jpeg_start_decompress(&jpeg_);
        row_.resize(inks ? 4 * static_cast<std::size_t>(jpeg_.output_width) : 0);
        while (jpeg_.output_scanline < jpeg_.output_height) {
            std::uint8_t* out = bgr.ptr(static_cast<int>(jpeg_.output_scanline));
            JSAMPROW line = inks ? row_.data() : out;
            jpeg_read_scanlines(&jpeg_, &line, 1);
            if (inks) {
                to_bgr(line, jpeg_.saw_Adobe_marker != FALSE, bgr.cols, out);
            }
        }
        jpeg_finish_decompress(&jpeg_);
        return true;
    }

    cv::Size size() const {
        return {static_cast<int>(jpeg_.image_width), static_cast<int>(jpeg_.image_height)};
    }
    int orientation() const { return orientation_of(jpeg_); }
    std::string words() const { return complaints_.words; }

private:
    jpeg_decompress_struct jpeg_{};
    Complaints complaints_;
    std::vector<std::uint8_t> row_;
};

}  // namespace

Jpeg read_jpeg(std::span<const std::uint8_t> bytes, std::int64_t most_pixels) {
    Jpeg jpeg;
    Reader reader(bytes);
    if (!reader.read_head()) {
        jpeg.broken = reader.words();
        return jpeg;
    }
    jpeg.size = reader.size();
    jpeg.orientation = reader.orientation();
    if (static_cast<std::int64_t>(jpeg.size.width) * jpeg.size.height > most_pixels) {
        return jpeg;
    }
    cv::Mat bgr(jpeg.size, CV_8UC3);
    const bool read = reader.read_rows(bgr);
    jpeg.broken = reader.words();
    if (read && jpeg.broken.empty()) {
        jpeg.bgr = bgr;
    }
    return jpeg;
}

}  // namespace etchback::copper::eye::detail
