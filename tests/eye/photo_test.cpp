// Pictures as people hand them in: turned, grey, deep, transparent, printed, broken.
#include "copper/eye/photo.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

// jpeglib.h needs <cstdio> before it.
#include <cstdio>

#include <jpeglib.h>

#include <filesystem>
#include <fstream>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

namespace etchback::copper::eye {
namespace {

namespace fs = std::filesystem;
using testing::HasSubstr;
using Bytes = std::vector<std::uint8_t>;

class PhotoFile : public testing::Test {
protected:
    PhotoFile() : folder_(fs::temp_directory_path() / fs::path(unique())) {
        fs::create_directories(folder_);
    }
    ~PhotoFile() override { fs::remove_all(folder_); }

    std::string path(const std::string& name) const { return (folder_ / name).string(); }

    std::string write(const std::string& name, const Bytes& bytes) const {
        std::ofstream(path(name), std::ios::binary)
            .write(reinterpret_cast<const char*>(bytes.data()),
                   static_cast<std::streamsize>(bytes.size()));
        return path(name);
    }

    static Bytes encoded(const cv::Mat& picture, const std::string& ending) {
        Bytes bytes;
        cv::imencode(ending, picture, bytes);
        return bytes;
    }

    static std::string complaint(const std::string& file) {
        const auto photo = read_photo(file, {.file = "dossier.toml", .line = 7, .column = 1});
        return photo ? "" : base::to_string(photo.errors().front());
    }

private:
    static std::string unique() {
        const auto* info = testing::UnitTest::GetInstance()->current_test_info();
        return std::string("etchback_photo_") + info->name() + "_" +
               std::to_string(reinterpret_cast<std::uintptr_t>(info));
    }
    fs::path folder_;
};

// Upper left red, upper right green, lower left blue, lower right white.
cv::Mat four_colours(int type = CV_8UC3, double full = 255.0) {
    cv::Mat picture(60, 80, type, cv::Scalar::all(full));
    picture(cv::Rect(0, 0, 40, 30)).setTo(cv::Scalar(0, 0, full, full));
    picture(cv::Rect(40, 0, 40, 30)).setTo(cv::Scalar(0, full, 0, full));
    picture(cv::Rect(0, 30, 40, 30)).setTo(cv::Scalar(full, 0, 0, full));
    return picture;
}

void expect_colour(const cv::Mat& bgr, int x, int y, cv::Vec3i colour) {
    const cv::Vec3b seen = bgr.at<cv::Vec3b>(y, x);
    for (int c = 0; c < 3; ++c) {
        EXPECT_NEAR(seen[c], colour[c], 6) << "at " << x << ", " << y << " channel " << c;
    }
}

TEST_F(PhotoFile, IsReadFromEveryFormat) {
    for (const std::string ending : {".jpg", ".png", ".tiff", ".webp"}) {
        const auto photo = read_photo(write("a" + ending, encoded(four_colours(), ending)), {});
        ASSERT_TRUE(photo) << ending << ": " << base::to_string(photo.errors().front());
        ASSERT_EQ(photo->bgr.type(), CV_8UC3);
        ASSERT_EQ(photo->bgr.size(), cv::Size(80, 60)) << ending;
        expect_colour(photo->bgr, 20, 45, {255, 0, 0});
        expect_colour(photo->bgr, 60, 45, {255, 255, 255});
    }
}

// An EXIF block that holds only the orientation, as JEITA CP-3451 has it.
Bytes exif(int orientation) {
    return {
        'E', 'x', 'i', 'f',  0,    0, 'M', 'M', 0, 42, 0, 0, 0,
        8,   0,   1,   0x01, 0x12, 0, 3,   0,   0, 0,  1, 0, static_cast<std::uint8_t>(orientation),
        0,   0,   0,   0,    0,    0};
}

Bytes with_exif(const Bytes& jpeg, int orientation) {
    const Bytes block = exif(orientation);
    Bytes out(jpeg.begin(), jpeg.begin() + 2);
    const std::size_t length = block.size() + 2;
    out.insert(out.end(),
               {0xFF,
                0xE1,
                static_cast<std::uint8_t>(length >> 8U),
                static_cast<std::uint8_t>(length & 0xFFU)});
    out.insert(out.end(), block.begin(), block.end());
    out.insert(out.end(), jpeg.begin() + 2, jpeg.end());
    return out;
}

TEST_F(PhotoFile, IsTurnedUprightAsTheCameraSays) {
    // How the stored picture comes from the upright one, for each orientation.
    const cv::Mat upright = four_colours();
    for (int orientation = 1; orientation <= 8; ++orientation) {
        cv::Mat stored = upright.clone();
        switch (orientation) {
            case 2:
                cv::flip(stored, stored, 1);
                break;
            case 3:
                cv::rotate(stored, stored, cv::ROTATE_180);
                break;
            case 4:
                cv::flip(stored, stored, 0);
                break;
            case 5:
                cv::transpose(stored, stored);
                break;
            case 6:
                cv::rotate(stored, stored, cv::ROTATE_90_COUNTERCLOCKWISE);
                break;
            case 7:
                cv::transpose(stored, stored);
                cv::rotate(stored, stored, cv::ROTATE_180);
                break;
            case 8:
                cv::rotate(stored, stored, cv::ROTATE_90_CLOCKWISE);
                break;
            default:
                break;
        }
        const auto photo =
            read_photo(write("turned.jpg", with_exif(encoded(stored, ".jpg"), orientation)), {});
        ASSERT_TRUE(photo);
        ASSERT_EQ(photo->bgr.size(), upright.size()) << orientation;
        EXPECT_LT(cv::norm(photo->bgr, upright, cv::NORM_L1) / (80.0 * 60.0 * 3.0), 6.0)
            << "orientation " << orientation;
    }
}

TEST_F(PhotoFile, OfSixteenBitsBecomesEight) {
    for (const std::string ending : {".png", ".tiff"}) {
        const auto photo = read_photo(
            write("deep" + ending, encoded(four_colours(CV_16UC3, 65535.0), ending)), {});
        ASSERT_TRUE(photo) << ending;
        ASSERT_EQ(photo->bgr.type(), CV_8UC3);
        expect_colour(photo->bgr, 60, 10, {0, 255, 0});
    }
}

TEST_F(PhotoFile, OfGreyBecomesColour) {
    const cv::Mat grey(40, 40, CV_8UC1, cv::Scalar(90));
    for (const std::string ending : {".png", ".jpg"}) {
        const auto photo = read_photo(write("grey" + ending, encoded(grey, ending)), {});
        ASSERT_TRUE(photo);
        expect_colour(photo->bgr, 20, 20, {90, 90, 90});
    }
}

TEST_F(PhotoFile, ThatIsTransparentLiesOnWhite) {
    cv::Mat picture = four_colours(CV_8UC4);
    picture(cv::Rect(0, 0, 40, 30)).setTo(cv::Scalar(0, 0, 0, 0));
    picture(cv::Rect(40, 0, 40, 30)).setTo(cv::Scalar(0, 0, 0, 128));
    const auto photo = read_photo(write("alpha.png", encoded(picture, ".png")), {});
    ASSERT_TRUE(photo);
    expect_colour(photo->bgr, 20, 10, {255, 255, 255});
    expect_colour(photo->bgr, 60, 10, {127, 127, 127});
}

// A JPEG of four inks, as print shops save it: no cyan, half magenta, no yellow, no black.
Bytes cmyk_jpeg(bool adobe) {
    jpeg_compress_struct jpeg{};
    jpeg_error_mgr errors{};
    jpeg.err = jpeg_std_error(&errors);
    jpeg_create_compress(&jpeg);
    std::uint8_t* data = nullptr;
    unsigned long size = 0;
    jpeg_mem_dest(&jpeg, &data, &size);
    jpeg.image_width = 32;
    jpeg.image_height = 32;
    jpeg.input_components = 4;
    jpeg.in_color_space = JCS_CMYK;
    jpeg_set_defaults(&jpeg);
    jpeg.write_Adobe_marker = adobe ? TRUE : FALSE;
    jpeg_set_quality(&jpeg, 95, TRUE);
    jpeg_start_compress(&jpeg, TRUE);
    const std::uint8_t none = adobe ? 255 : 0;
    Bytes row;
    for (int x = 0; x < 32; ++x) {
        row.insert(row.end(), {none, 128, none, none});
    }
    JSAMPROW line = row.data();
    while (jpeg.next_scanline < jpeg.image_height) {
        jpeg_write_scanlines(&jpeg, &line, 1);
    }
    jpeg_finish_compress(&jpeg);
    Bytes out(data, data + size);
    jpeg_destroy_compress(&jpeg);
    std::free(data);
    return out;
}

TEST_F(PhotoFile, OfPrintersInksBecomesColour) {
    for (const bool adobe : {true, false}) {
        const auto photo = read_photo(write("inks.jpg", cmyk_jpeg(adobe)), {});
        ASSERT_TRUE(photo);
        expect_colour(photo->bgr, 16, 16, {255, 128, 255});
    }
}

TEST_F(PhotoFile, ThatEndsEarlyIsRefusedAtAnyLength) {
    cv::Mat picture(120, 160, CV_8UC3);
    cv::randu(picture, 0, 255);
    for (const std::string ending : {".jpg", ".png", ".webp", ".tiff"}) {
        const Bytes whole = encoded(picture, ending);
        for (const double part : {0.02, 0.3, 0.6, 0.9, 0.99}) {
            const auto length =
                static_cast<std::ptrdiff_t>(part * static_cast<double>(whole.size()));
            const std::string file =
                write("cut" + ending, Bytes(whole.begin(), whole.begin() + length));
            EXPECT_THAT(complaint(file), HasSubstr("dossier.toml:7:1: the picture"))
                << ending << " at " << part;
            EXPECT_THAT(complaint(file), HasSubstr("broken or not whole"))
                << ending << " at " << part;
        }
    }
}

TEST_F(PhotoFile, ThatWasAlteredOnTheWayIsRefused) {
    cv::Mat picture(120, 160, CV_8UC3);
    cv::randu(picture, 0, 255);
    Bytes png = encoded(picture, ".png");
    png[png.size() / 2] ^= 0x55U;
    EXPECT_THAT(complaint(write("altered.png", png)), HasSubstr("broken or not whole"));
}

TEST_F(PhotoFile, ThatIsNoneIsRefusedWithARemedy) {
    EXPECT_THAT(complaint(path("absent.jpg")), HasSubstr("is not there; put the file there"));
    EXPECT_THAT(complaint(path("")), HasSubstr("is not a file; name the picture in it"));
    EXPECT_THAT(complaint(write("empty.jpg", {})), HasSubstr("is empty; copy it"));
    const std::string words = "This is a letter, not a picture.";
    EXPECT_THAT(
        complaint(write("letter.jpg", Bytes(words.begin(), words.end()))),
        HasSubstr("is not a JPEG, PNG, TIFF or WebP picture; save the photo as one of these"));
}

TEST_F(PhotoFile, ThatIsTooSmallOrTooLargeIsRefusedByItsSize) {
    for (const std::string ending : {".png", ".jpg", ".webp", ".tiff"}) {
        EXPECT_THAT(complaint(write("dot" + ending,
                                    encoded(cv::Mat(1, 1, CV_8UC3, cv::Scalar::all(9)), ending))),
                    HasSubstr("has only 1 x 1 pixels"))
            << ending;
    }
    const cv::Mat wide(4000, 13000, CV_8UC1, cv::Scalar(0));
    for (const std::string ending : {".png", ".jpg"}) {
        EXPECT_THAT(
            complaint(write("wide" + ending, encoded(wide, ending))),
            HasSubstr("has 13000 x 4000 pixels; at most 50 million are read; scale it down"))
            << ending;
    }
}

}  // namespace
}  // namespace etchback::copper::eye
