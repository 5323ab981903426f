// Ranks over MPI (MPI-3.1, https://www.mpi-forum.org/docs/). It alone links an MPI library.
#include <mpi.h>

#include <exception>

#include "behaviour/ranks_plugin/interface.h"

namespace etchback::behaviour::ranks_plugin {

namespace {

class MpiRanks final : public Ranks {
public:
    MpiRanks() {
        MPI_Comm_rank(MPI_COMM_WORLD, &rank_);
        MPI_Comm_size(MPI_COMM_WORLD, &size_);
        MPI_Comm near = MPI_COMM_NULL;
        MPI_Comm_split_type(MPI_COMM_WORLD, MPI_COMM_TYPE_SHARED, 0, MPI_INFO_NULL, &near);
        MPI_Comm_size(near, &near_);
        MPI_Comm_free(&near);
    }
    // An exception on its way out would leave the other ranks waiting for ever: end them, too.
    ~MpiRanks() override {
        if (std::uncaught_exceptions() > 0) {
            MPI_Abort(MPI_COMM_WORLD, 1);
        }
        MPI_Finalize();
    }
    MpiRanks(const MpiRanks&) = delete;
    MpiRanks& operator=(const MpiRanks&) = delete;

    int rank() const override { return rank_; }
    int size() const override { return size_; }
    int on_this_machine() const override { return near_; }

    void send(int to, std::string_view text) override {
        MPI_Send(text.data(), static_cast<int>(text.size()), MPI_BYTE, to, 0, MPI_COMM_WORLD);
    }

    std::optional<Message> receive() override {
        int there = 0;
        MPI_Status status;
        MPI_Iprobe(MPI_ANY_SOURCE, 0, MPI_COMM_WORLD, &there, &status);
        if (there == 0) {
            return std::nullopt;
        }
        int length = 0;
        MPI_Get_count(&status, MPI_BYTE, &length);
        Message message{.from = status.MPI_SOURCE,
                        .text = std::string(static_cast<std::size_t>(length), '\0')};
        MPI_Recv(message.text.data(),
                 length,
                 MPI_BYTE,
                 status.MPI_SOURCE,
                 0,
                 MPI_COMM_WORLD,
                 MPI_STATUS_IGNORE);
        return message;
    }

    std::string broadcast(std::string text) override {
        auto length = static_cast<long long>(text.size());
        MPI_Bcast(&length, 1, MPI_LONG_LONG, 0, MPI_COMM_WORLD);
        text.resize(static_cast<std::size_t>(length));
        MPI_Bcast(text.data(), static_cast<int>(length), MPI_BYTE, 0, MPI_COMM_WORLD);
        return text;
    }

private:
    int rank_ = 0, size_ = 1, near_ = 1;
};

}  // namespace

extern "C" {

__attribute__((visibility("default"))) int etchback_ranks_version() {
    return interface_version;
}

__attribute__((visibility("default"))) Ranks* etchback_ranks_open() {
    int level = MPI_THREAD_SINGLE;
    // Other threads compute, and only the one that opened the group sends.
    if (MPI_Init_thread(nullptr, nullptr, MPI_THREAD_FUNNELED, &level) != MPI_SUCCESS ||
        level < MPI_THREAD_FUNNELED) {
        return nullptr;
    }
    return new MpiRanks;
}
}

}  // namespace etchback::behaviour::ranks_plugin
