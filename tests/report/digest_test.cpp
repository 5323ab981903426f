#include "report/detail/digest.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

namespace etchback::report::detail {
namespace {

std::string hex(std::string_view bytes) {
    std::string text;
    for (const std::uint8_t byte : sha256(bytes)) {
        text += fmt::format("{:02x}", byte);
    }
    return text;
}

// NIST's examples for FIPS 180-4 (SHA-256: one block, two blocks), values from memory, and
// confirmed with sha256sum of GNU coreutils.
TEST(Sha256, ExamplesOfTheStandard) {
    EXPECT_EQ(hex("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    EXPECT_EQ(hex("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
              "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    EXPECT_EQ(hex(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

// RFC 4648, section 10.
TEST(Base64, TestVectorsOfTheRfc) {
    EXPECT_EQ(base64(""), "");
    EXPECT_EQ(base64("f"), "Zg==");
    EXPECT_EQ(base64("fo"), "Zm8=");
    EXPECT_EQ(base64("foo"), "Zm9v");
    EXPECT_EQ(base64("foob"), "Zm9vYg==");
    EXPECT_EQ(base64("fooba"), "Zm9vYmE=");
    EXPECT_EQ(base64("foobar"), "Zm9vYmFy");
}

}  // namespace
}  // namespace etchback::report::detail
